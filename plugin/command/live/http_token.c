// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/complain.h"
#include "command/live/http.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

#define MADE_BYTES 16 ///< Of a made token, before they are written in hexadecimal

static bool
make_token(const char* const path, char token[FH_TOKEN_MAX])
{
  unsigned char chance[MADE_BYTES];
  if (getrandom(chance, sizeof(chance), 0) != (ssize_t)sizeof(chance)) {
    return fh_complain("no random numbers for a token; write one of your own into %s", path);
  }
  for (size_t i = 0; i < sizeof(chance); ++i) {
    snprintf(token + 2 * i, 3, "%02x", chance[i]);
  }
  const size_t length = strlen(token);
  const int    fd     = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  const bool   ok     = fd >= 0 && write(fd, token, length) == (ssize_t)length && write(fd, "\n", 1) == 1 && !fsync(fd);
  const int    error  = errno;
  if (fd >= 0) {
    close(fd);
  }
  return ok || fh_complain("the token cannot be written to %s (%s); name another place with --page-token", path, strerror(error));
}

bool
fh_token_read(const char* const path, char token[FH_TOKEN_MAX])
{
  FILE* const file = fopen(path, "re");
  if (!file) {
    return errno == ENOENT ? make_token(path, token)
                           : fh_complain("%s cannot be read (%s); name another place with --page-token", path, strerror(errno));
  }
  const bool read = fgets(token, FH_TOKEN_MAX, file);
  fclose(file);
  token[read ? strcspn(token, "\r\n") : 0] = '\0';
  for (const char* c = token; *c; ++c) {
    if (!strchr("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.~", *c)) {
      return fh_complain("the token in %s may only hold letters, figures and - _ . ~, as it stands in an address", path);
    }
  }
  return strlen(token) >= FH_TOKEN_MIN ||
         fh_complain("the token in %s is shorter than %d characters; remove the file, and a new one is made", path, FH_TOKEN_MIN);
}
