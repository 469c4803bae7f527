# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""Plants faults in a copy of the plugin's glue, one at a time, and shows that the real-time test catches each by what
it does when it runs; the list of imports (imports.py) is not asked. The binary without a fault must pass.

Arguments: source folder, build folder, the bundle, the real-time test, `short` or `long`, the compiler's command line.
Short: one fault in each place."""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

source, build, bundle, test, form = sys.argv[1:6]
compiler = sys.argv[6:]

# Where: file, the line after which the fault comes
PLACES = {
    "run": ("plugin.c", "  const FhFpState     fp = fh_fp_enter();\n"),
    "connect_port": ("plugin.c", "  const uint32_t  first = fh_first_control(self->variant);\n"),
    "activate": ("plugin.c", "  self->is_running = false;\n"),
    "learn": ("plugin.c", "  controls[FH_LEARN] = press(&self->learn, controls[FH_LEARN], is_host);\n"),
    "publish": ("state.c", "  FhLetter* const letter = fh_mailbox_draft(&box->to_save);\n"),
    "save": ("state.c", "\n  fh_mailbox_fetch(&box->to_save);\n"
             "  const FhLetter* const snapshot = fh_mailbox_letter(&box->to_save);\n"),
}
FAULTS = {
    "malloc": "free(hide(malloc(10)));",
    "calloc": "free(hide(calloc(10, 3)));",
    "realloc": "free(hide(realloc(NULL, 5)));",
    "aligned_alloc": "free(hide(aligned_alloc(64, 64)));",
    "strdup": 'free(hide(strdup("x")));',
    "mmap": "munmap(mmap(NULL, 4096, PROT_READ, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0), 4096);",
    "mutex": "static pthread_mutex_t m = PTHREAD_MUTEX_INITIALIZER; pthread_mutex_lock(&m); pthread_mutex_unlock(&m);",
    "trylock": "static pthread_mutex_t m = PTHREAD_MUTEX_INITIALIZER; if (!pthread_mutex_trylock(&m)) {"
               " pthread_mutex_unlock(&m); }",
    "semaphore": "static sem_t s; sem_init(&s, 0, 1); sem_wait(&s); sem_post(&s);",
    "fopen": 'FILE* f = fopen("/dev/null", "r"); if (f) { fclose(f); }',
    "open": 'close(open("/dev/null", O_RDONLY));',
    "write": 'if (write(-1, "x", 1)) { }',
    "nanosleep": "nanosleep(&(struct timespec){0, 1}, NULL);",
    "usleep": "usleep(1);",
    "yield": "sched_yield();",
    "printf": 'printf("%d", (int)(uintptr_t)hide(NULL));',
    "fprintf": 'fprintf(stderr, "%d", (int)(uintptr_t)hide(NULL));',
    "puts": 'puts("x");',
    "clock": "struct timespec t; clock_gettime(CLOCK_MONOTONIC, &t);",
    "time": "if (time(NULL) < 0) { return; }",
    "gettimeofday": "struct timeval t; gettimeofday(&t, NULL);",
}
HEAD = """#define _GNU_SOURCE
#include <fcntl.h>
#include <pthread.h>
#include <sched.h>
#include <semaphore.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>
static void* hide(void* p) { __asm__ volatile("" : "+r"(p)); return p; }
"""


def chosen():
    names = list(FAULTS)
    for number, place in enumerate(PLACES):
        if form == "short":
            yield place, names[(number * 4) % len(names)]
        else:
            yield from ((place, name) for name in names)


def passes(folder, place=None, fault=None):
    """True if the test passes with the plugin built with this fault"""
    files = []
    for name in ("plugin.c", "state.c"):
        text = Path(source, "plugin/lv2", name).read_text()
        if place and PLACES[place][0] == name:
            line = PLACES[place][1]
            assert text.count(line) == 1, f"{place}: the line to plant after is not there once"
            text = HEAD + text.replace(line, line + "  { " + FAULTS[fault].replace("return;", ";") + " }\n")
        path = Path(folder, name)
        path.write_text(text)
        files.append(str(path))
    binary = Path(folder, "fronthash.lv2", "fronthash.so")
    libraries = sorted(str(p) for p in Path(build, "plugin").glob("libfhkernel*.a")) + sorted(
        str(p) for p in Path(build, "plugin").glob("libfhdsp*.a"))
    subprocess.run([*compiler, "-std=gnu17", "-O1", "-w", "-fPIC", "-shared", "-fvisibility=hidden",
                    f"-I{source}/plugin", *files, "-Wl,--start-group", *libraries, "-Wl,--end-group", "-lm", "-o",
                    str(binary)], check=True)
    said = subprocess.run([test], env={**os.environ, "FH_BUNDLE": str(binary.parent)}, capture_output=True, text=True,
                          timeout=60)
    if said.returncode and place:
        assert re.search(r"calls (within|in) ", said.stderr), (place, fault, said.stderr)
    return said.returncode == 0


with tempfile.TemporaryDirectory(prefix="fronthash-plant-") as folder:
    shutil.copytree(bundle, Path(folder, "fronthash.lv2"))
    assert passes(folder), "without a fault the test fails"
    missed, count = [], 0
    for place, fault in chosen():
        count += 1
        if passes(folder, place, fault):
            missed.append(f"{fault} in {place}")
print(f"{count} faults planted, {count - len(missed)} caught")
if missed:
    sys.exit("missed: " + ", ".join(missed))
