// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_bad_input.c
/// What cannot be rendered gets one line that says so, a failing exit code, and leaves the folder as it was.

#include "../command.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const char* line;   ///< Shell line
  const char* phrase; ///< Must stand in the complaint
} Bad;

static const Bad bad_command_lines[] = {
  {"fronthash", "fronthash --help"},
  {"fronthash sing", "no verb 'sing'"},
  {"fronthash render", "something is missing"},
  {"fronthash render --loud take.wav", "unknown option --loud"},
  {"fronthash render -x take.wav", "unknown option -x"},
  {"fronthash render take.wav --output", "--output needs a value"},
  {"fronthash render take.wav --output=", "--output needs a value"},
  {"fronthash render take.wav --replace=yes", "--replace takes no value"},
  {"fronthash render take.wav other.wav", "one argument too many"},
  {"fronthash render take.wav --set open_margin", "--set takes port=value"},
  {"fronthash render take.wav --set =3", "--set takes port=value"},
  {"fronthash render take.wav --set loudness=3", "no port 'loudness' to set; there are enabled, muted"},
  {"fronthash render take.wav --set excess=3", "no port 'excess' to set"},
  {"fronthash render take.wav --set open_margin=25", "from -6 to 24 dB, not '25'"},
  {"fronthash render take.wav --set open_margin=loud", "from -6 to 24 dB, not 'loud'"},
  {"fronthash render take.wav --set open_margin=nan", "not 'nan'"},
  {"fronthash render take.wav --set listen=1.5", "whole number from 0 to 3, not '1.5'"},
  {"fronthash render take.wav --learn-ambient 4", "two times in seconds"},
  {"fronthash render take.wav --learn-ambient 4-2", "two times in seconds"},
  {"fronthash render take.wav --learn-ambient 4-x", "two times in seconds"},
  {"fronthash render take.wav --learn-ambient 20-400", "ends after the take, which lasts 24.0 s"},
  {"fronthash render take.wav --learn-solo 0-25", "ends after the take"},
  {"fronthash render take.wav --learn-ambient 3-3.5", "at least 1 s"},
};

static const Bad bad_sounds[] = {
  {"fronthash render none.wav", "none.wav cannot be found"},
  {"fronthash render \"$(printf 'a\\nb.wav')\"", "a?b.wav cannot be found"},
  {"fronthash render text.wav", "text.wav cannot be read as a sound file"},
  {"fronthash render empty.wav", "empty.wav cannot be read as a sound file"},
  {"fronthash render folder", "folder is not a file"},
  {"fronthash render header.wav", "holds no sound"},
  {"fronthash render close.wav", "close.wav has one channel"},
  {"fronthash render six.wav", "six.wav has 6 channels"},
  {"fronthash render nan.wav", "not numbers at 1.0 s"},
  {"fronthash render slow.wav", "runs at 6000 Hz"},
  {"fronthash render cut.flac", "cut.flac breaks off"},
  {"fronthash render cut.wav", "cut.wav breaks off after 5.2 s, 1000001 of 4608044 bytes; copy it again"},
  {"fronthash render cut_large.wav", "cut_large.wav breaks off after 5.2 s"},
  {"fronthash render close.wav --ambient none.wav", "none.wav cannot be found"},
  {"fronthash render close.wav --ambient take.wav", "--ambient takes a file of one"},
  {"fronthash render pair.wav --ambient ambient.wav", "pair.wav has 3 channels"},
  {"fronthash render close.wav --ambient other_rate.wav", "convert one to the rate of the other"},
  {"fronthash render close.wav --ambient short_ambient.wav", "lasts 24.0 s and short_ambient.wav 2.0 s"},
};

static const Bad bad_bundles[] = {
  {"fronthash render take.wav --bundle none", "none is no plugin bundle"},
  {"fronthash render take.wav --bundle folder", "folder is no plugin bundle"},
  {"fronthash render take.wav --bundle hollow.lv2", "does not hold the plugin urn:fronthash:solo"},
  {"fronthash render take.wav --bundle torn.lv2", "does not hold the plugin urn:fronthash:solo"},
  {"fronthash render take.wav --bundle nobinary/fronthash.lv2", "does not start at 48000 Hz"},
  {"cp \"$FH_COMMAND\" .home/ && LV2_PATH=none .home/fronthash render take.wav; c=$?; rm .home/fronthash; (exit $c)",
   "cannot be found; name it with --bundle"},
  {"fronthash render take.wav --preset nosuchthing", "there is no preset 'nosuchthing'; there are: '"},
  {"fronthash render take.wav --preset e", "'e' fits more than one preset"},
  {"fronthash render take.wav --preset ./syntax.preset.lv2", "cannot be read"},
  {"fronthash render take.wav --preset ./gone.preset.lv2", "cannot be read"},
  {"fronthash render take.wav --preset ./port.preset.lv2", "preset 'Port' sets an unknown port 'loudness'"},
  {"fronthash render take.wav --preset ./range.preset.lv2", "preset 'Range' sets hold out of its range"},
  {"fronthash render take.wav --preset ./text.preset.lv2", "preset 'Text'"},
  {"fronthash render take.wav --preset ./folder", "no preset './folder'"},
  {"fronthash render pair.wav --preset ./range.preset.lv2", "holds no preset for urn:fronthash:pair"},
};

static const Bad bad_outputs[] = {
  {"fronthash render take.wav --output none/out.wav", "none/out.wav cannot be written"},
  {"fronthash render take.wav --output folder", "folder is a folder"},
  {"fronthash render take.wav --output take.wav", "take.wav is the recording itself"},
  {"fronthash render take.wav --output take.wav --replace", "take.wav is the recording itself"},
  {"fronthash render take.wav --output ./folder/../take.wav --replace", "is the recording itself"},
  {"fronthash render take.wav --output link.wav --replace", "link.wav is the recording itself"},
  {"fronthash render close.wav --ambient ambient.wav --output ambient.wav --replace", "is the recording itself"},
  {"fronthash render take.wav --output text.wav", "text.wav is there already"},
  {"fronthash render take.wav --output /dev/full --replace", "/dev/full is not a plain file"},
  {"fronthash render take.wav --output out.wav --picture out.wav", "cannot be sound and picture"},
  {"fronthash render take.wav --output out.wav --picture take.wav --replace", "is the recording itself"},
  {"fronthash render take.wav --output out.wav --picture none/p.png", "none/p.png cannot be written"},
  {"fronthash render take.wav --output out.wav --picture p.jpg", "p.jpg: pictures are written as PNG"},
  {"fronthash render take.wav --output out.mp3", "out.mp3: only .wav and .flac are written"},
  {"fronthash render take.wav --output out.xyz/out.wav", "cannot be written"},
  // A limit on the size of files meets the command as a full disk would: 100 KiB for sound, 8 KiB for a picture
  {"(ulimit -f 100; fronthash render take.wav --output out.wav)", "out.wav cannot be written to its end"},
  {"(ulimit -f 100; fronthash render take.wav --output out.flac)", "out.flac cannot be written to its end"},
  {"(ulimit -f 8; fronthash render take.wav --output out.wav --picture p.png)", "is the disk full?"},
  // The sound is whole by then and stays: the test removes it
  {"fronthash render take.wav --output out.wav --json >/dev/full; c=$?; rm out.wav; (exit $c)",
   "standard output cannot be written"},
  {"fronthash --help >/dev/full", "standard output cannot be written"},
};

static void
check_all(const Bad* const rows, const size_t count)
{
  char before[TEXT_MAX];
  snprintf(before, sizeof(before), "%s", listing());
  for (size_t i = 0; i < count; ++i) {
    assert_complaint(run("%s", rows[i].line), rows[i].phrase, rows[i].line);
    if (strcmp(before, listing()) != 0) {
      fail_msg("%s: left something behind: %s", rows[i].line, listing());
    }
  }
}

/// A preset bundle with the given body of one preset
static void
make_preset(const char* const name, const char* const body)
{
  static const char* const head = "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n"
                                  "@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n"
                                  "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n";
  char                     path[128];
  char                     text[1024];
  assert_int_equal(run("mkdir %s.preset.lv2", name)->code, 0);
  snprintf(path, sizeof(path), "%s.preset.lv2/manifest.ttl", name);
  snprintf(text, sizeof(text),
           "%s<p.ttl> a pset:Preset ; lv2:appliesTo <urn:fronthash:solo> ; rdfs:seeAlso <p.ttl> .\n",
           head);
  write_text(path, text);
  if (body) {
    snprintf(path, sizeof(path), "%s.preset.lv2/p.ttl", name);
    snprintf(text, sizeof(text), "%s%s", head, body);
    write_text(path, text);
  }
}

static int
make_inputs(void** const state)
{
  if (enter_folder(state)) {
    return -1;
  }
  const Said* const made =
    run("set -e; make_take take.wav solo; make_take close.wav close; make_take ambient.wav ambient\n"
        "make_take pair.wav pair; make_take six.wav six; make_take nan.wav nan; make_take whole.flac flac\n"
        "head -c 500000 whole.flac >cut.flac; rm whole.flac; mkdir folder; head -c 1000001 take.wav >cut.wav\n"
        "make_take large.wav large; head -c 1000001 large.wav >cut_large.wav; rm large.wav; ln -s take.wav link.wav\n"
        "echo 'no sound here' >text.wav; : >empty.wav\n"
        "head -c 44 take.wav | head -c 40 >header.wav; printf '\\0\\0\\0\\0' >>header.wav\n"
        "make_take slow.wav short; make_take other_rate.wav ambient; make_take short_ambient.wav mono_short\n"
        // bytes 24 to 27 of a WAV header are the rate: 6000 Hz, 44100 Hz
        "printf '\\160\\027\\0\\0' | dd of=slow.wav bs=1 seek=24 conv=notrunc status=none\n"
        "printf '\\104\\254\\0\\0' | dd of=other_rate.wav bs=1 seek=24 conv=notrunc status=none\n"
        "mkdir hollow.lv2 torn.lv2 nobinary\n"
        "printf '@prefix a: <urn:a:> .\\n' >hollow.lv2/manifest.ttl; echo '<urn:fronthash:solo> a [' >torn.lv2/manifest.ttl\n"
        "cp -r \"$FH_BUNDLES/fronthash.lv2\" nobinary/; rm nobinary/fronthash.lv2/fronthash.so\n");
  if (made->code) {
    print_error("%s\n", made->err);
    return -1;
  }
  make_preset("gone", NULL);
  make_preset("syntax", "<p.ttl> a pset:Preset ; rdfs:label \"Syntax\" ; lv2:port [ lv2:symbol \"hold\" ; pset:val");
  make_preset("port", "<p.ttl> a pset:Preset ; lv2:appliesTo <urn:fronthash:solo> ; rdfs:label \"Port\" ;\n"
                      "  lv2:port [ lv2:symbol \"loudness\" ; pset:value 3.0 ] .\n");
  make_preset("range", "<p.ttl> a pset:Preset ; lv2:appliesTo <urn:fronthash:solo> ; rdfs:label \"Range\" ;\n"
                       "  lv2:port [ lv2:symbol \"hold\" ; pset:value 9000.0 ] .\n");
  make_preset("text", "<p.ttl> a pset:Preset ; lv2:appliesTo <urn:fronthash:solo> ; rdfs:label \"Text\" ;\n"
                      "  lv2:port [ lv2:symbol \"hold\" ; pset:value \"long\" ] .\n");
  return 0;
}

static void
test_command_lines(void** const state)
{
  (void)state;
  check_all(bad_command_lines, sizeof(bad_command_lines) / sizeof(bad_command_lines[0]));
}

static void
test_sounds(void** const state)
{
  (void)state;
  check_all(bad_sounds, sizeof(bad_sounds) / sizeof(bad_sounds[0]));
}

static void
test_bundles(void** const state)
{
  (void)state;
  check_all(bad_bundles, sizeof(bad_bundles) / sizeof(bad_bundles[0]));
}

static void
test_outputs(void** const state)
{
  (void)state;
  check_all(bad_outputs, sizeof(bad_outputs) / sizeof(bad_outputs[0]));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_command_lines),
    cmocka_unit_test(test_sounds),
    cmocka_unit_test(test_bundles),
    cmocka_unit_test(test_outputs),
  };
  return cmocka_run_group_tests_name("bad input", tests, make_inputs, leave_folder);
}
