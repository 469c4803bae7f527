// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/live/keys.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/ioctl.h>
#include <unistd.h>

#define ASK_QUIT "Stop the sound and quit? y: yes, any other key: no"

static void
measure(FhTerminal* const terminal)
{
  struct winsize size;
  terminal->columns = 80;
  terminal->rows    = 24;
  if (!ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) && size.ws_col && size.ws_row) {
    terminal->columns = size.ws_col < 40 ? 40 : size.ws_col;
    terminal->rows    = size.ws_row;
  }
}

static bool
speaks_utf8(void)
{
  static const char* const names[] = {"LC_ALL", "LC_CTYPE", "LANG"};
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    const char* const value = getenv(names[i]);
    if (value && *value) {
      return strcasestr(value, "utf-8") || strcasestr(value, "utf8");
    }
  }
  return false;
}

/// Write what is left of the picture, as much as the terminal takes now. @return true if nothing is left
static bool
put_left(FhKeys* const keys)
{
  while (keys->left && keys->left_at < keys->left_size) {
    const ssize_t count = write(keys->out, keys->left + keys->left_at, keys->left_size - keys->left_at);
    if (count <= 0) {
      return false;
    }
    keys->left_at += (size_t)count;
  }
  free(keys->left);
  keys->left = NULL;
  return true;
}

/// A copy of the text is written; what the terminal does not take is lost
static void
put_text(FhKeys* const keys, const char* const text)
{
  free(keys->left);
  keys->left      = strdup(text);
  keys->left_size = keys->left ? strlen(text) : 0;
  keys->left_at   = 0;
  put_left(keys);
}

void
fh_keys_begin(FhKeys* const keys)
{
  *keys = (FhKeys){.on = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO), .out = -1};
  if (keys->on) {
    keys->out = open(ttyname(STDOUT_FILENO) ? ttyname(STDOUT_FILENO) : "/dev/tty", O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    keys->on  = keys->out >= 0;
  }
  if (!keys->on || tcgetattr(STDIN_FILENO, &keys->before)) {
    keys->on = false;
    return;
  }
  struct termios raw = keys->before;
  raw.c_lflag &= (tcflag_t)~(ICANON | ECHO | ISIG); // Ctrl-C asks as q does: a show does not end by one key
  raw.c_iflag &= (tcflag_t)~(IXON | ICRNL);
  raw.c_cc[VMIN]  = 0;
  raw.c_cc[VTIME] = 0;
  tcsetattr(STDIN_FILENO, TCSANOW, &raw);
  keys->terminal.utf8   = speaks_utf8();
  keys->terminal.colour = !getenv("NO_COLOR");
  put_text(keys, "\033[?1049h\033[?25l\033[2J"); // Screen of its own, no cursor
}

void
fh_keys_end(FhKeys* const keys)
{
  if (keys->on) {
    keys->on = false;
    poll(&(struct pollfd){.fd = keys->out, .events = POLLOUT}, 1, 200); // ms
    put_text(keys, "\033[?25h\033[?1049l");
    tcsetattr(STDIN_FILENO, TCSANOW, &keys->before);
  }
  free(keys->left);
  keys->left = NULL;
  if (keys->out > STDERR_FILENO) {
    close(keys->out);
  }
  keys->out = -1;
}

static void
turn(FhRigStand* const stand, const FhControl control, const double now)
{
  fh_rig_set(stand, control, fh_rig_value(stand, control) > 0.0f ? 0.0f : 1.0f, now);
}

/// Learn, or end it
static void
press_learn(FhRigStand* const stand, const FhLearn learn, const double now)
{
  fh_rig_set(stand, FH_LEARN, fh_rig_value(stand, FH_LEARN) > 0.0f ? 0.0f : (float)learn, now);
}

static void
set_all(FhRig* const rig, const FhControl control, const float value, const double now)
{
  for (size_t i = 0; i < rig->count; ++i) {
    fh_rig_set(&rig->stand[i], control, value, now);
  }
}

/// All at once; where one is learning, all end
static void
press_learn_all(FhRig* const rig, const double now)
{
  bool learning = false;
  for (size_t i = 0; i < rig->count; ++i) {
    learning = learning || fh_rig_value(&rig->stand[i], FH_LEARN) > 0.0f;
  }
  set_all(rig, FH_LEARN, learning ? 0.0f : (float)FH_LEARN_AMBIENT, now);
}

static void
press(FhKeys* const keys, FhRig* const rig, const char key, const double now)
{
  FhRigStand* const stand = &rig->stand[keys->screen.chosen];
  if (keys->screen.question) {
    keys->screen.question = NULL;
    keys->quit            = key == 'y' || key == 'Y';
    return;
  }
  switch (key) {
  case 'q':
  case 3: // Ctrl-C
    keys->screen.question = ASK_QUIT;
    break;
  case 'l':
    press_learn(stand, FH_LEARN_AMBIENT, now);
    break;
  case 'L':
    press_learn_all(rig, now);
    break;
  case 's':
    press_learn(stand, FH_LEARN_SOLO, now);
    break;
  case 'u':
    fh_rig_set(stand, FH_LEARN, FH_LEARN_BACK, now);
    break;
  case 'U':
    set_all(rig, FH_LEARN, FH_LEARN_BACK, now);
    break;
  case 'm':
    turn(stand, FH_MUTED, now);
    break;
  case 'b':
    turn(stand, FH_ENABLED, now);
    break;
  case 'n':
    fh_rig_come(stand, stand->soloist + 1);
    break;
  case 'p':
    fh_rig_come(stand, stand->soloist - 1);
    break;
  case 'j':
    keys->screen.chosen += keys->screen.chosen + 1 < rig->count;
    break;
  case 'k':
    keys->screen.chosen -= keys->screen.chosen > 0;
    break;
  default:
    if (key >= '1' && key <= '9' && (size_t)(key - '1') < rig->count) {
      keys->screen.chosen = (size_t)(key - '1');
    }
    break;
  }
}

void
fh_keys_type(FhKeys* const keys, FhRig* const rig, const char* const typed, const size_t length, const double now)
{
  for (size_t i = 0; i < length; ++i) {
    if (typed[i] == '\033' && i + 2 < length && (typed[i + 1] == '[' || typed[i + 1] == 'O')) {
      i += 2;
      while (i + 1 < length && typed[i] >= ' ' && typed[i] <= '?') {
        ++i; // ECMA-48, 5.4: parameters and intermediates go before the one byte that ends it
      }
      const char arrow = typed[i];
      press(keys, rig, arrow == 'A' ? 'k' : arrow == 'B' ? 'j' : '\0', now);
    } else {
      press(keys, rig, typed[i], now);
    }
  }
}

void
fh_keys_read(FhKeys* const keys, FhRig* const rig, const double now)
{
  char          typed[64];
  const ssize_t length = read(STDIN_FILENO, typed, sizeof(typed));
  if (length > 0) {
    fh_keys_type(keys, rig, typed, (size_t)length, now);
  } else if (!length || (errno != EAGAIN && errno != EINTR)) {
    keys->on = false; // Readable with nothing to read: it has hung up
    if (!freopen("/dev/null", "w", stdout)) {
      clearerr(stdout);
    }
  }
}

void
fh_keys_draw(FhKeys* const keys, const FhRig* const rig, const FhServerState* const server, const FhNotes* const notes)
{
  FILE* const file = put_left(keys) ? open_memstream(&keys->left, &keys->left_size) : NULL;
  if (!file) {
    return;
  }
  measure(&keys->terminal);
  fh_screen_draw(file, &keys->terminal, &keys->screen, rig, server, notes);
  keys->left_at = 0;
  if (fclose(file)) {
    keys->left_size = 0;
  }
  put_left(keys); // In one piece, so that nothing flickers
}
