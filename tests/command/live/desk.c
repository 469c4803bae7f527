// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Stands for the desk's multichannel interface and everything that is plugged into it: a JACK client `desk` with microphones and
// speakers. On the last microphone, the ambient one, plays a field of noise; the others hear it 12 dB lower and 1 ms later, and a
// soloist of their own when told so.
//
//   desk MICROPHONES SPEAKERS      then, one a line on standard input:
//   solo CHANNEL 0|1               the soloist of a channel plays or rests
//   field 0|1                      so does the band
//   xruns                          print how many the server has counted
//   levels                         print the level of each speaker over the last 0.1 s, dBFS, on one line

#include "noise.h"

#include <jack/jack.h>

#include <math.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST 64
#define DELAY 48
#define SOLO_HZ 440.0
#define SHORT 0.1 // s

static jack_port_t*   mics[MOST];
static jack_port_t*   speakers[MOST];
static int            mic_count, speaker_count;
static atomic_int     solo[MOST];
static atomic_int     field = 1;
static _Atomic double power[MOST];
static atomic_int     xruns;

/// What only the audio thread uses
static struct {
  uint32_t seed;
  float    last, line[DELAY];
  uint64_t frame;
} now = {1u, 0.0f, {0.0f}, 0u};

static float
play(const uint64_t frame, const double rate)
{
  float sum = 0.0f;
  for (int k = 1; k < 5; ++k) {
    sum += sinf((float)fmod(2.0 * M_PI * SOLO_HZ * k * (double)frame / rate, 2.0 * M_PI)) / (float)k;
  }
  return 0.2f * sum;
}

static int
process(const jack_nframes_t frames, void* const client)
{
  const double rate = jack_get_sample_rate((jack_client_t*)client);
  float*       to[MOST];
  for (int m = 0; m < mic_count; ++m) {
    to[m] = (float*)jack_port_get_buffer(mics[m], frames);
  }
  for (jack_nframes_t i = 0; i < frames; ++i, ++now.frame) {
    const float white = (float)fh_noise_next(&now.seed) / 2147483648.0f - 1.0f;
    now.last += 0.3f * (white - now.last);
    const float heard             = now.line[now.frame % DELAY];
    const float band              = atomic_load(&field) ? 0.5f * now.last : 0.0f;
    now.line[now.frame % DELAY]   = band;
    const float note              = play(now.frame, rate);
    for (int m = 0; m < mic_count; ++m) {
      to[m][i] = m == mic_count - 1 ? band : 0.25f * heard + (atomic_load(&solo[m]) ? note : 0.0f);
    }
  }
  const double pole = 1.0 - exp(-(double)frames / (SHORT * rate));
  for (int s = 0; s < speaker_count; ++s) {
    const float* const from = (const float*)jack_port_get_buffer(speakers[s], frames);
    double             sum  = 0.0;
    for (jack_nframes_t i = 0; i < frames; ++i) {
      sum += (double)from[i] * (double)from[i];
    }
    const double before = atomic_load(&power[s]);
    atomic_store(&power[s], before + pole * (sum / frames - before));
  }
  return 0;
}

static int
count_xrun(void* const data)
{
  (void)data;
  atomic_fetch_add(&xruns, 1);
  return 0;
}

static void
obey(const char* const line)
{
  int channel = 0, on = 0;
  if (sscanf(line, "solo %d %d", &channel, &on) == 2 && channel >= 1 && channel <= mic_count) {
    atomic_store(&solo[channel - 1], on);
  } else if (sscanf(line, "field %d", &on) == 1) {
    atomic_store(&field, on);
  } else if (!strncmp(line, "xruns", 5)) {
    printf("%d\n", atomic_load(&xruns));
    fflush(stdout);
  } else if (!strncmp(line, "levels", 6)) {
    for (int s = 0; s < speaker_count; ++s) {
      printf("%.1f ", 10.0 * log10(atomic_load(&power[s]) + 1e-12));
    }
    printf("\n");
    fflush(stdout);
  }
}

int
main(const int argc, char** const argv)
{
  jack_client_t* const client = jack_client_open("desk", JackNoStartServer, NULL);
  if (argc != 3 || !client) {
    return EXIT_FAILURE;
  }
  mic_count     = atoi(argv[1]);
  speaker_count = atoi(argv[2]);
  if (mic_count < 1 || mic_count > MOST || speaker_count < 0 || speaker_count > MOST) {
    return EXIT_FAILURE;
  }
  char name[32];
  for (int m = 0; m < mic_count; ++m) {
    snprintf(name, sizeof(name), "mic_%d", m + 1);
    mics[m] = jack_port_register(client, name, JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
  }
  for (int s = 0; s < speaker_count; ++s) {
    snprintf(name, sizeof(name), "speaker_%d", s + 1);
    speakers[s] = jack_port_register(client, name, JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
  }
  jack_set_process_callback(client, process, client);
  jack_set_xrun_callback(client, count_xrun, NULL);
  if (jack_activate(client)) {
    return EXIT_FAILURE;
  }
  printf("ready\n");
  fflush(stdout);
  for (char line[128]; fgets(line, sizeof(line), stdin);) {
    obey(line);
  }
  jack_client_close(client);
  return EXIT_SUCCESS;
}
