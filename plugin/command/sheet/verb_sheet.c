// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/audio.h"
#include "command/base/complain.h"
#include "command/base/options.h"
#include "command/base/temp.h"
#include "command/sheet/sheet.h"
#include "command/verbs.h"

#include <cairo-pdf.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char* const about =
  "Makes the pages for a show's folder, one PDF: patch list, stage plot to scale, checklist of the soundcheck in the order of work with "
  "what to take care of, a list to tick stand by stand, labels to cut out. The stage plot is left out where the show file says no "
  "places.";

static const char* const examples = "  fronthash sheet tide-lines.show\n"
                                    "      writes tide-lines.pdf\n"
                                    "  fronthash sheet tide-lines.show --paper letter --output folder.pdf\n";

/// SHOW with .pdf in place of its suffix
static bool
default_output(const char* const show, char output[FH_PATH_MAX])
{
  const char* const slash = strrchr(show, '/');
  const char* const name  = slash ? slash + 1 : show;
  const char* const dot   = strrchr(name, '.');
  const int         stem  = (int)(dot && dot != name ? dot - show : (long)strlen(show));
  return (size_t)snprintf(output, FH_PATH_MAX, "%.*s.pdf", stem, show) < FH_PATH_MAX ||
         fh_complain("the file name is too long; name a shorter one with --output");
}

static bool
draw(const FhShow* const show, const char* const path, const double width, const double height)
{
  cairo_surface_t* const surface = cairo_pdf_surface_create(path, width, height);
  FhSheet sheet = {.cr = cairo_create(surface), .show = show, .width = width, .height = height};
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, *show->title ? show->title : show->path);
  fh_sheet_patch(&sheet);
  fh_sheet_plot(&sheet);
  fh_sheet_checklist(&sheet);
  fh_sheet_labels(&sheet);
  cairo_destroy(sheet.cr);
  cairo_surface_finish(surface);
  const cairo_status_t status = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  return status == CAIRO_STATUS_SUCCESS;
}

static bool
write_sheet(const FhShow* const show, const char* const output, const bool letter, const bool replace)
{
  FhTemp temp;
  if (fh_same_file(show->path, output)) {
    return fh_complain("%s is the show itself; name another file with --output", output);
  }
  if (!fh_temp_open(&temp, output, replace)) {
    return false;
  }
  // ISO 216 A4, and ANSI/ASME Y14.1 A, in points
  if (!draw(show, temp.temp, letter ? 612.0 : 210.0 / 25.4 * 72.0, letter ? 792.0 : 297.0 / 25.4 * 72.0)) {
    fh_temp_drop(&temp);
    return fh_complain("%s cannot be written to its end; is the disk full?", output);
  }
  return fh_temp_commit(&temp);
}

int
fh_verb_sheet(const int argc, char** const argv)
{
  const char*    output  = NULL;
  const char*    paper   = "a4";
  bool           replace = false;
  const FhOption table[] = {
    {"output", "FILE.pdf", "Where it goes. Default: SHOW's name with .pdf in place of its suffix.", FH_OPTION_TEXT, &output, 0, 0},
    {"paper", "PAPER", "a4 (the default) or letter.", FH_OPTION_TEXT, &paper, 0, 0},
    {"replace", NULL, "Replace a file that is there already.", FH_OPTION_FLAG, &replace, 0, 0},
  };
  const FhUsage usage = {
    .verb          = "sheet",
    .about         = about,
    .examples      = examples,
    .options       = table,
    .option_count  = sizeof(table) / sizeof(table[0]),
  };
  char           path[FH_PATH_MAX];
  const char*    show_path = NULL;
  const FhParsed parsed    = fh_parse_show(&usage, argc, argv, &show_path);
  if (parsed != FH_PARSED_OK) {
    return parsed == FH_PARSED_DONE ? EXIT_SUCCESS : EXIT_FAILURE;
  }
  const bool letter = !strcmp(paper, "letter");
  if (!letter && strcmp(paper, "a4")) {
    fh_complain("--paper takes a4 or letter, not '%s'", paper);
    return EXIT_FAILURE;
  }
  if (!output && !default_output(show_path, path)) {
    return EXIT_FAILURE;
  }
  FhShow* const show = fh_show_read(show_path);
  const bool    ok   = show && write_sheet(show, output ? output : path, letter, replace);
  if (ok) {
    printf("wrote %s\n", output ? output : path);
  }
  fh_show_free(show);
  return ok ? EXIT_SUCCESS : EXIT_FAILURE;
}
