// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file model.h
/// What one window knows: port values, the last minute, focus, and edits under way. Knows no window system.
///
/// Thread: UI. Time is any clock in seconds that never goes back; the caller gives it to fh_model_tick().
/// No function fails; nothing is allocated.

#ifndef FRONTHASH_UI_MODEL_H
#define FRONTHASH_UI_MODEL_H

#include "ui/guide.h"
#include "ui/items.h"
#include "ui/look.h"
#include "ui/preset.h"
#include "ui/view.h"

#include <stdbool.h>
#include <stddef.h>

#define FH_NO_ITEM (-1)
#define FH_TYPED_MAX 16

#define FH_CHANGES 64 ///< Edits that can be taken back

/// An edit that can be taken back
typedef struct {
  FhControl control; ///< FH_LEARN stands for what was learnt or cleared
  float     from, to;
  int       set; ///< The set of values it was made in
} FhChange;

/// How the window reaches the host
typedef struct {
  void (*write)(void* data, FhControl control, float value);
  void (*touch)(void* data, FhControl control, bool grabbed); ///< May be NULL
  void* data;
} FhHost;

typedef struct FhModel {
  FhHost host;
  const FhVariant* variant;   ///< Which plugin it is; NULL where that is not known
  float  v[FH_CONTROL_COUNT]; ///< As last heard from or written to the host
  char   title[96];           ///< What the host calls the window: its track, as a rule; empty if it does not say
  int    preset;              ///< Factory preset the values were when last found, or FH_NO_PRESET
  bool   values_come;         ///< The host sent values, or others were put in force: they may be another preset
  double now;                 ///< Seconds
  float  calm[FH_CONTROL_COUNT]; ///< `v` as it was a moment ago, for figures that must stand still to be read
  double calm_at;                ///< When it was taken
  FhVerdict stood;               ///< On the separation, before `calm`

  FhHistory history; ///< Seconds as in `now`
  FhHistory kept;    ///< The same when the strip was frozen
  FhLook    look;

  int  focus; ///< Item that keys work, or FH_NO_ITEM: then all keys but Tab are the host's
  int  hover; ///< Item under the pointer
  int  page;  ///< Page of the window that is wanted, 0 up
  int  pages; ///< How many it has; 0 or 1 where all stands on one
  bool day;   ///< Colours for bright light, not for the dark
  bool keyed; ///< Focus came by key: show it plainly

  bool typing;              ///< A value is being typed for the focused item
  bool refused;             ///< What was typed is no number
  char typed[FH_TYPED_MAX]; ///< Plain ASCII

  int    drag;        ///< Item held by the pointer, or FH_NO_ITEM
  double drag_part;   ///< Where it is now, 0..1, unrounded
  double drag_x;      ///< Last pointer place, units
  double drag_y;
  int    click_item;  ///< For double clicks
  double click_time;

  FhChange changes[FH_CHANGES]; ///< Oldest first
  int      change_count;        ///< Of them, those taken back included
  int      change_done;         ///< Of them, those in force
  double   change_time;         ///< When the newest was last added to
  bool     change_held;         ///< The newest belongs to the drag under way

  int   set;                      ///< The set of values in force: 0 is A, 1 is B
  bool  other_known;              ///< The other one was in force before; else it is as this one
  float other[FH_CONTROL_COUNT];  ///< Values of the other one

  double learn_counted;  ///< When a count-down last ended by itself
  double learn_since;    ///< When learning was seen to start
  bool   learn_low;      ///< Progress has been below 100 % since
  FhGuide guide;         ///< Where a Learn stands
  int    learn_next;     ///< FhLearn to write once the port has rested at off; 0 is none
  double learn_next_at;
  double clear_armed;    ///< Until then a second press clears
  double clear_off_at;   ///< When to take the clear port back; 0 is never
} FhModel;

void fh_model_init(FhModel* model, FhHost host, double now);

/// Take a value the host reports
void fh_model_hear(FhModel* model, FhControl control, float value);

/// Move time on: keeps history, and ends presses that must not last (learn, clear)
void fh_model_tick(FhModel* model, double now);

/// On the separation, by `calm`
FhVerdict fh_model_verdict(const FhModel* model);

/// Frame `age` frames before the newest, of a frozen strip the newest then; age < fh_model_frames()
const FhFrame* fh_model_frame(const FhModel* model, size_t age);
size_t         fh_model_frames(const FhModel* model);

/// Learning under way: an FhLearn
int fh_model_learning(const FhModel* model);

/// How far learning is, percent: as the plugin reports it, else by the time it takes
double fh_model_progress(const FhModel* model);

/// True if the ambient microphone hears anything to speak of
bool fh_has_ambient(const float v[FH_CONTROL_COUNT]);

/// Take back the last edit, or do it again, with the focus on what changes. Of what was learnt and cleared only the last
/// can be: the plugin keeps no more. @return false if there is none
bool fh_model_undo(FhModel* model);
bool fh_model_redo(FhModel* model);

/// True if there is an edit to take back, or to do again
bool fh_model_can_undo(const FhModel* model);
bool fh_model_can_redo(const FhModel* model);

/// Put the other set of values in force: all that stand in groups
void fh_model_turn_sets(FhModel* model);

/// Set a port as an edit does: clamp, store, tell the host if it changed. Changes of one control in one drag, or
/// within half a second, are one edit
void fh_model_set(FhModel* model, FhControl control, float value);

/// The colours to draw in
const FhPalette* fh_model_palette(const FhModel* model);

/// Work an item as a press of Enter or a click does; values do nothing
void fh_model_press(FhModel* model, int item);

#endif
