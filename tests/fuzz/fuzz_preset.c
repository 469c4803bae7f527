// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// A preset of any bytes, in a bundle of its own, is taken with every control in its range, or refused with exactly one line.
// The plugin is that of the environment variable FH_BUNDLE.

#include "command/run/host.h"
#include "complaints.h"
#include "fuzz.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

unsigned long fh_fuzz_taken;

static char folder[64] = "/tmp/fronthash-fuzz-XXXXXX";

size_t
fh_fuzz_seed(uint8_t to[FH_FUZZ_MAX])
{
  return (size_t)snprintf((char*)to, FH_FUZZ_MAX,
                          "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n"
                          "@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n"
                          "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
                          "<urn:fronthash:fuzz> a pset:Preset ;\n"
                          "  lv2:appliesTo <%s> ;\n"
                          "  rdfs:label \"Made up\" ;\n"
                          "  lv2:port [ lv2:symbol \"open_margin\" ; pset:value 3.0 ] ,\n"
                          "    [ lv2:symbol \"release\" ; pset:value 120.5 ] , [ lv2:symbol \"range\" ; pset:value 30 ] .\n",
                          FH_URI_SOLO);
}

static void
put(const char* const name, const void* const data, const size_t size)
{
  char path[128];
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  FILE* const file = fopen(path, "wb");
  fh_promise(file && fwrite(data, 1, size, file) == size && !fclose(file), "a temporary file can be written");
}

static void
clear(void)
{
  static const char* const names[] = {"manifest.ttl", "preset.ttl"};
  char                     path[128];
  for (int i = 0; i < 2; ++i) {
    snprintf(path, sizeof(path), "%s/%s", folder, names[i]);
    unlink(path);
  }
  rmdir(folder);
}

static void
prepare(void)
{
  static const char manifest[] = "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n"
                                 "@prefix pset: <http://lv2plug.in/ns/ext/presets#> .\n"
                                 "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
                                 "<urn:fronthash:fuzz> a pset:Preset ; lv2:appliesTo <" FH_URI_SOLO "> ;\n"
                                 "  rdfs:seeAlso <preset.ttl> .\n";
  static bool ready;
  if (!ready) {
    fh_promise(mkdtemp(folder) != NULL, "a temporary folder can be made");
    atexit(clear);
    put("manifest.ttl", manifest, sizeof(manifest) - 1);
    ready = true;
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* const data, const size_t size)
{
  prepare();
  put("preset.ttl", data, size);
  complaints         = 0;
  FhHost* const host = fh_host_new(getenv("FH_BUNDLE"), &fh_variants[0], 48000.0);
  fh_promise(host != NULL, "the plugin loads");
  const bool ok = fh_host_preset(host, folder);
  fh_promise(complaints == !ok, "exactly one line where a preset is refused");
  fh_fuzz_taken += ok;
  for (int i = 0; i < FH_CONTROL_COUNT; ++i) {
    fh_promise(host->v[i] >= fh_controls[i].min && host->v[i] <= fh_controls[i].max, "controls stay in their ranges");
  }
  fh_host_free(host);
  return 0;
}
