// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/screen.h"

#include "command/live/glance.h"

#include <math.h>
#include <string.h>

#define BAR_LOW (-10.0f) ///< Left end of the bars, dB
#define BAR_HIGH 30.0f   ///< Right end

#define TO_END "\033[K" ///< Erase what is left of the line
#define PLAIN "\033[0m"

/// Widths of the columns, characters
typedef struct {
  int name, soloist, state, bar, known, fault;
} Widths;

static const char*
style(const FhTerminal* const terminal, const FhMood mood)
{
  // Bold green, yellow and white on red; each has its word beside it
  static const char* const colours[] = {"", "\033[1;32m", "\033[1;33m", "\033[1;37;41m"};
  static const char* const plain[]   = {"", "\033[1m", "\033[1m", "\033[7m"};
  return (terminal->colour ? colours : plain)[mood];
}

/// Print a text in so many characters, cut or filled with spaces
static void
put(FILE* const file, const char* const text, const int width)
{
  int at = 0;
  for (const char* c = text; *c; ++c) {
    if (((unsigned char)*c & 0xC0u) != 0x80u && ++at > width) {
      return;
    }
    fputc(*c, file);
  }
  fprintf(file, "%*s", width - at, "");
}

/// Print a text in lines of so many characters, broken at spaces; without a file, only count. @return How many lines
static int
put_lines(FILE* const file, const char* text, const int width)
{
  int lines = 0;
  do {
    const char* end = NULL; // of what fits
    const char* c   = text;
    for (int at = 0; *c; ++c) {
      end = *c == ' ' ? c : end;
      if (((unsigned char)*c & 0xC0u) != 0x80u && ++at > width) {
        break;
      }
    }
    end = *c && end ? end : c; // all, or as much of a long word
    if (file) {
      fwrite(text, 1, (size_t)(end - text), file);
      fputs(TO_END "\r\n", file);
    }
    ++lines;
    text = end + (*end == ' ');
  } while (*text);
  return lines;
}

static Widths
divide(const int columns)
{
  Widths    w     = {11, 8, 8, 7, 9, 24};
  const int spare = columns - (4 + w.name + w.soloist + w.state + w.bar + 4 + w.known + w.fault + 5);
  if (spare > 0) {
    const int names = spare / 3 < 13 ? spare / 3 : 13;
    w.name += names;
    w.soloist += names;
    w.bar += spare - 2 * names < 32 ? spare - 2 * names : 32;
  }
  return w;
}

/// A bar up to the excess, with a mark where the gate opens
static void
put_bar(FILE* const file, const FhTerminal* const terminal, const FhGlance* const glance, const int width)
{
  const float scale = (float)width / (BAR_HIGH - BAR_LOW);
  const int   end   = (int)lroundf((glance->v[FH_EXCESS] - BAR_LOW) * scale);
  const int   mark  = (int)((glance->v[FH_OPEN_AT] - BAR_LOW) * scale);
  for (int i = 0; i < width; ++i) {
    const bool filled = !glance->blind && i < end;
    if (i == mark && !glance->blind) {
      fputc('|', file);
    } else {
      fputs(filled ? (terminal->utf8 ? "\u2588" : "=") : (terminal->utf8 ? "\u00b7" : "."), file);
    }
  }
}

static void
put_stand(FILE* const file, const FhTerminal* const terminal, const Widths* const w, const FhRigStand* const stand,
          const size_t number, const bool chosen, const bool running)
{
  const FhGlance glance = fh_glance(stand, running);
  const char*    mood   = style(terminal, glance.mood);
  char           excess[8];
  snprintf(excess, sizeof(excess), "%+4.0f", (double)glance.v[FH_EXCESS]);
  fprintf(file, "%s%2zu ", chosen ? ">" : " ", number);
  fputs(chosen ? "\033[1m" : "", file);
  put(file, stand->stand->name, w->name);
  fputs(PLAIN " ", file);
  put(file, glance.soloist, w->soloist);
  fprintf(file, " %s", mood);
  put(file, glance.state, w->state);
  fputs(PLAIN " ", file);
  put_bar(file, terminal, &glance, w->bar);
  put(file, glance.blind ? "   -" : excess, 4);
  fputc(' ', file);
  put(file, glance.known, w->known);
  fprintf(file, " %s", *glance.fault ? mood : "");
  put(file, glance.fault, *glance.fault ? (int)strlen(glance.fault) : 0);
  fputs(PLAIN TO_END "\r\n", file);
}

static void
put_head(FILE* const file, const FhTerminal* const terminal, const FhRig* const rig, const FhServerState* const server)
{
  char line[256];
  if (server->running) {
    snprintf(line, sizeof(line), "Sounding: %u Hz, %u frames, %u xrun%s, %s, load %.0f %%", server->rate, server->frames, server->xruns,
             server->xruns == 1 ? "" : "s", server->real_time ? "real time" : "NOT REAL TIME", 100.0 * server->load);
  } else {
    snprintf(line, sizeof(line), "SILENT: no JACK server");
  }
  const char* const title = *rig->show->title ? rig->show->title : rig->show->path;
  fprintf(file, "\033[1m");
  // Where both have no room, the title gives way
  const int length = (int)strlen(line);
  const int left   = terminal->columns - 2 - length;
  const int named  = left > 40 ? 40 : left > 8 ? left : 8;
  const int room   = terminal->columns - named - 1;
  put(file, title, named);
  fprintf(file, PLAIN " %s", style(terminal, server->running ? FH_MOOD_REST : FH_MOOD_FAULT));
  put(file, line, length < room ? length : room);
  fputs(PLAIN TO_END "\r\n", file);
}

/// What is said of the chosen stand, and the last two notes. @return How many lines; without a file, they are only counted
static int
put_words(FILE* const file, const FhTerminal* const terminal, const FhRigStand* const chosen, const bool running,
          const FhNotes* const notes)
{
  const FhGlance glance = fh_glance(chosen, running);
  const int      width  = terminal->columns - 1;
  char           next[FH_SHOW_NAME + 32];
  if (*glance.next || !*glance.previous) {
    snprintf(next, sizeof(next), *glance.next ? "Next here: %s" : "", glance.next);
  } else {
    snprintf(next, sizeof(next), "The last one here; before: %s", glance.previous);
  }
  int lines = put_lines(file, *glance.advice ? glance.advice : next, width);
  for (uint64_t ago = 2; ago-- > 0;) {
    const char* const note = fh_notes_last(notes, ago);
    lines += put_lines(file, note ? note : "", width);
  }
  return lines;
}

static void
put_foot(FILE* const file, const FhTerminal* const terminal, const FhScreenState* const screen, const FhRig* const rig,
         const bool running, const FhNotes* const notes)
{
  fputs(TO_END "\r\n", file);
  put_words(file, terminal, &rig->stand[screen->chosen], running, notes);
  if (screen->question) {
    fprintf(file, "\033[1m%s" PLAIN TO_END, screen->question);
  } else {
    put(file, "l learn  L all  s learn solo  u U undo  m mute  b bypass  n p soloist  q quit", terminal->columns - 1);
    fputs(TO_END, file);
  }
  fputs("\033[J", file); // Erase what is below
}

void
fh_screen_draw(FILE* const file, const FhTerminal* const terminal, const FhScreenState* const screen, const FhRig* const rig,
               const FhServerState* const server, const FhNotes* const notes)
{
  const Widths w = divide(terminal->columns);
  // A small terminal shows the stands round the chosen one
  const int    rest  = terminal->rows - 4 - put_words(NULL, terminal, &rig->stand[screen->chosen], server->running, notes);
  const size_t room  = rest > 1 ? (size_t)rest : 1;
  const size_t count = rig->count < room ? rig->count : room;
  size_t       first = screen->chosen >= count ? screen->chosen - count + 1 : 0;
  fputs("\033[H", file);
  put_head(file, terminal, rig, server);
  fputs("    ", file);
  put(file, "stand", w.name + 1);
  put(file, "soloist", w.soloist + 1);
  put(file, "state", w.state + 1);
  put(file, "excess, dB", w.bar + 5);
  put(file, "learnt", w.known + 1);
  fputs("fault" TO_END "\r\n", file);
  for (size_t i = first; i < first + count; ++i) {
    put_stand(file, terminal, &w, &rig->stand[i], i + 1, i == screen->chosen, server->running);
  }
  put_foot(file, terminal, screen, rig, server->running, notes);
}
