// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file scene.h
/// A made-up field scene with the truth known: a soloist in front of a marching band, outdoors.
///
/// First 10 s of band only (loud and soft), then solo phrases to the end. Every microphone signal is the sum of
/// two stems, solo and pickup; pickup is band, crowd and wind. The close microphones come first, the ambient
/// microphone is the last. Some 25 rendered players stand for a whole band: their common level is set by the ratio
/// asked for, all distances, delays, echoes and microphone patterns stay physical.
/// Left out: proximity effect, clothing and stands noise, scattering by bodies. Thread: any, one scene each.

#ifndef FRONTHASH_SCENES_SCENE_H
#define FRONTHASH_SCENES_SCENE_H

#include "instrument.h"
#include "song.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FH_MAX_MICS 3
#define FH_MAX_SOLOISTS 4
#define FH_LEARN_SECONDS 10.0
#define FH_SCENE_SECONDS 46.0

typedef enum {
  FH_MIC_BELL,  ///< Cardioid dynamic, a hand's length before the bell, looking at it (and at the band behind)
  FH_MIC_BODY,  ///< Cardioid a little farther off, looking down at keys or strings
  FH_MIC_GROUP, ///< One cardioid condenser a step before two to four players
  FH_MIC_UNDER, ///< Two cardioids under the bars, looking up
} FhTechnique;

typedef struct {
  const char*    name;
  const char*    about;
  FhTechnique    technique;
  double         distance; ///< Soloist to close microphone, m
  int            soloists;
  FhInstrumentId instruments[FH_MAX_SOLOISTS];
  bool           turns; ///< Soloists take phrases in turn instead of together
  bool           extra; ///< For its preset only: not among all that are scored by default
} FhSceneSpec;

typedef enum {
  FH_PLAIN,
  FH_SWING,        ///< Band level swings 20 dB with a period of 10 s, same mean power
  FH_TRIM,         ///< Ambient microphone turned up 12 dB in the middle of the solo
  FH_NEAR,         ///< Ambient microphone beside the close one (0 m)
  FH_FAR,          ///< Ambient microphone 20 m toward the band
  FH_WIND_CLOSE,   ///< Gusts on the close microphones with the power of the band
  FH_WIND_AMBIENT, ///< Gusts on the ambient microphone with the power of the band
  FH_PA,           ///< Loudspeakers return the processed solo to all microphones (closed loop, made while scoring)
  FH_OFF_AXIS,     ///< In every other phrase the soloist turns away: 10 dB less, dull, at the close microphones
  FH_DRUMS_BEHIND, ///< Drum line hits 1.5 m behind the soloist
  FH_ROAR,         ///< The crowd roars with the power of the band, twice
  FH_NO_BAND,      ///< Only crowd and light wind
  FH_NO_SOLO,      ///< One minute without soloist, band swinging 20 dB; minutes 0 to 9 follow each other without seam
  FH_NO_SOLO_WIND, ///< The same with gusts on the close microphones
  FH_CONDITIONS
} FhCondition;

extern const char* const fh_condition_names[FH_CONDITIONS];

#ifndef FH_CACHE_DIR
#  define FH_CACHE_DIR "." ///< Where several programs of the build keep rendered stems
#endif

typedef struct {
  const FhSceneSpec* spec;
  uint64_t           seed;
  double             ratio;   ///< Solo over pickup while both sound, rms at the close microphones, dB
  double             rate;    ///< Hz
  bool               sampled; ///< Sampled instruments instead of synthesis
  FhCondition        condition;
  int                minute;    ///< For FH_NO_SOLO and FH_NO_SOLO_WIND; learning is in minute 0
  const char*        cache_dir; ///< Where rendered stems are kept; NULL: nowhere
  FhFont             font;      ///< Where sampled
  int                few;       ///< 0: all of the band plays; else so many sections, each now and then
  uint64_t           vary;      ///< 0: as usual; else number of a draw of other places, sounds and music (vary.h)
} FhSceneRequest;

typedef struct {
  FhSceneRequest request;
  double         rate;
  uint32_t       closes; ///< 1 or 2
  uint32_t       mics;   ///< closes + 1
  size_t         frames;
  FhStretch      learn; ///< Band only, s; empty where the take follows another minute
  size_t         phrase_count;
  FhStretch      phrases[FH_MAX_PHRASES];
  float*         solo[FH_MAX_MICS];   ///< Peak of the whole take is -3 dBFS close, -15 dBFS ambient
  float*         pickup[FH_MAX_MICS];
  double         ambient_distance; ///< Toward the band, m
  bool           ambient_omni;
  double         band_gain; ///< Raise of the 26 players that gave the asked ratio, dB
  double         input_gain[2];    ///< Of close and ambient microphone inputs
  double         trim_at;          ///< s, FH_TRIM only
} FhScene;

/// All scenes; the first four are the first families. @param count receives how many
const FhSceneSpec* fh_scene_list(size_t* count);

/// Find a scene by name; NULL if there is none
const FhSceneSpec* fh_scene_find(const char* name);

/// Build a scene. @return false with one line on stderr when sampled instruments are missing or memory is out.
/// Free with fh_scene_free().
bool fh_scene_build(FhScene* scene, const FhSceneRequest* request);
void fh_scene_free(FhScene* scene);

#endif
