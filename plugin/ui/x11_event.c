// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "ui/x11.h"

#include "ui/edit.h"

#include <X11/Xutil.h>
#include <X11/keysym.h>

static double
units(const FhX11* const x, const int pixels)
{
  return (double)pixels / x->layout.scale;
}

static bool
is_fine(const unsigned state)
{
  return (state & ShiftMask) != 0;
}

static void
press(FhX11* const x, const XButtonEvent* const event)
{
  const double at_x = units(x, event->x), at_y = units(x, event->y);
  const int    item = fh_layout_item(&x->layout, at_x, at_y);
  switch (event->button) {
  case Button1: {
    const FhItemKind kind   = item == FH_NO_ITEM ? FH_ITEM_VALUE : fh_items[item].kind;
    const bool       choice = kind == FH_ITEM_CHOICE || kind == FH_ITEM_PAGES;
    const double     ago    = fh_layout_ago(&x->layout, at_x, at_y);
    fh_edit_press(&x->model, item, choice ? fh_layout_point(&x->layout, item, at_x) : 0, at_x, at_y);
    if (ago >= 0.0) {
      fh_look_press(&x->model, ago);
    }
    break;
  }
  case Button4:
  case Button5:
    if (fh_layout_ago(&x->layout, at_x, at_y) >= 0.0) {
      fh_look_back(&x->model, event->button == Button4 ? 1 : -1);
    }
    fh_edit_wheel(&x->model, item, event->button == Button4 ? 1 : -1, is_fine(event->state));
    break;
  default:
    break;
  }
}

static void
move(FhX11* const x, const XMotionEvent* const event)
{
  const double at_x = units(x, event->x), at_y = units(x, event->y);
  const int    held  = x->model.drag;
  const double width = held == FH_NO_ITEM ? 1.0 : x->layout.items[held].w;
  fh_edit_move(&x->model, fh_layout_item(&x->layout, at_x, at_y), at_x, at_y, width, is_fine(event->state));
  fh_look_point(&x->model, fh_layout_ago(&x->layout, at_x, at_y));
}

/// What a key means here; FH_KEY_TEXT with no text if nothing
static FhKey
key_of(const KeySym symbol, const char* const text, const int length)
{
  static const struct {
    KeySym symbol;
    FhKey  key;
  } keys[] = {
    {XK_Tab, FH_KEY_TAB},           {XK_ISO_Left_Tab, FH_KEY_BACK_TAB}, {XK_Up, FH_KEY_MORE},
    {XK_Right, FH_KEY_MORE},        {XK_Down, FH_KEY_LESS},             {XK_Left, FH_KEY_LESS},
    {XK_Page_Up, FH_KEY_PAGE_MORE}, {XK_Page_Down, FH_KEY_PAGE_LESS},   {XK_Home, FH_KEY_HOME},
    {XK_End, FH_KEY_END},           {XK_Return, FH_KEY_ENTER},          {XK_KP_Enter, FH_KEY_ENTER},
    {XK_Escape, FH_KEY_ESCAPE},     {XK_BackSpace, FH_KEY_RUBOUT},      {XK_Delete, FH_KEY_DEFAULT},
    {XK_F8, FH_KEY_FREEZE},         {XK_F9, FH_KEY_COLOURS},
  };
  (void)text;
  (void)length;
  for (size_t i = 0; i < sizeof(keys) / sizeof(keys[0]); ++i) {
    if (symbol == keys[i].symbol) {
      return keys[i].key;
    }
  }
  return FH_KEY_TEXT;
}

/// Use a key, or hand it to the host, which may want it for the transport
static void
key(FhX11* const x, XKeyEvent* const event)
{
  char      text[8];
  KeySym    symbol = NoSymbol;
  const int length = XLookupString(event, text, sizeof(text), &symbol, NULL);
  FhKey     meant  = key_of(symbol, text, length);
  if (meant == FH_KEY_TAB && is_fine(event->state)) {
    meant = FH_KEY_BACK_TAB;
  }
  const unsigned held = event->state & (ControlMask | Mod1Mask | Mod4Mask);
  const bool     undo = held == ControlMask && (symbol == XK_z || symbol == XK_Z);
  const bool     redo = (undo && is_fine(event->state)) || (held == ControlMask && symbol == XK_y);
  meant               = redo ? FH_KEY_REDO : undo ? FH_KEY_UNDO : meant;
  const bool shortcut = held && !undo && !redo;
  const bool plain    = meant != FH_KEY_TEXT || (length == 1 && text[0] > ' ' && text[0] < 127);
  const bool used     = !shortcut && plain && fh_edit_key(&x->model, meant, text[0], is_fine(event->state));
  // A key that was sent to us has been through the host already; sending it back could go round for ever
  if (!used && !event->send_event) {
    XEvent copy          = {.xkey = *event};
    copy.xkey.window     = x->parent;
    copy.xkey.send_event = True;
    XSendEvent(x->display, x->parent, False, NoEventMask, &copy);
  }
}

void
fh_x11_event(FhX11* const x, XEvent* const event)
{
  if (event->xany.window != x->window) {
    return;
  }
  fh_model_tick(&x->model, fh_x11_now());
  switch (event->type) {
  case Expose: // Comes to a window in sight only
    x->exposed = x->viewable = true;
    break;
  case ConfigureNotify:
    fh_x11_resize(x, event->xconfigure.width, event->xconfigure.height);
    break;
  case MapNotify:
    x->mapped  = true;
    x->exposed = true;
    break;
  case UnmapNotify:
    x->mapped = false;
    break;
  case VisibilityNotify:
    x->obscured = event->xvisibility.state == VisibilityFullyObscured;
    break;
  case DestroyNotify:
    x->gone = true;
    break;
  case ButtonPress:
    press(x, &event->xbutton);
    break;
  case ButtonRelease:
    if (event->xbutton.button == Button1) {
      fh_edit_release(&x->model);
      fh_look_release(&x->model);
    }
    break;
  case MotionNotify:
    move(x, &event->xmotion);
    break;
  case LeaveNotify:
    x->model.hover = FH_NO_ITEM;
    fh_look_point(&x->model, -1.0);
    break;
  case KeyPress:
    key(x, &event->xkey);
    break;
  default:
    break;
  }
}
