// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// The audio thread never allocates, locks, waits or talks to the system. The functions that would do so are replaced
// in this executable, which exports them, so that the loaded bundle calls ours (glibc only).

#define _GNU_SOURCE

#include "host.h"
#include "learnt.h"
#include "take.h"

#include <lv2/state/state.h>

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <fenv.h>
#include <math.h>
#include <pthread.h>
#include <sched.h>
#include <semaphore.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

static _Thread_local int is_audio;  ///< Within run()
static _Thread_local int offences;  ///< Calls made while there
static const char*       last_call; ///< Name of the last one

static void
note(const char* const name)
{
  if (is_audio) {
    ++offences;
    last_call = name;
  }
}

void* __libc_malloc(size_t size);
void* __libc_calloc(size_t count, size_t size);
void* __libc_realloc(void* old, size_t size);
void* __libc_memalign(size_t alignment, size_t size);
void  __libc_free(void* old);

void*
malloc(const size_t size)
{
  note("malloc");
  return __libc_malloc(size);
}

void*
calloc(const size_t count, const size_t size)
{
  note("calloc");
  return __libc_calloc(count, size);
}

void*
realloc(void* const old, const size_t size)
{
  note("realloc");
  return __libc_realloc(old, size);
}

void
free(void* const old)
{
  note("free");
  __libc_free(old);
}

void*
aligned_alloc(const size_t alignment, const size_t size)
{
  note("aligned_alloc");
  return __libc_memalign(alignment, size);
}

void*
memalign(const size_t alignment, const size_t size);

void*
memalign(const size_t alignment, const size_t size)
{
  note("memalign");
  return __libc_memalign(alignment, size);
}

int
posix_memalign(void** const result, const size_t alignment, const size_t size)
{
  note("posix_memalign");
  *result = __libc_memalign(alignment, size);
  return *result ? 0 : ENOMEM;
}

/// The next definition of a function, that of the C library
static void
find_real(void* const function, const size_t size, const char* const name)
{
  void* const symbol = dlsym(RTLD_NEXT, name);
  memcpy(function, &symbol, size);
}

#define FH_GUARD(result, name, parameters, arguments) \
  result name parameters                              \
  {                                                   \
    static result(*real) parameters;                  \
    if (!real) {                                      \
      find_real(&real, sizeof(real), #name);          \
    }                                                 \
    note(#name);                                      \
    return real arguments;                            \
  }

FH_GUARD(int, pthread_mutex_lock, (pthread_mutex_t * mutex), (mutex))
FH_GUARD(int, pthread_mutex_trylock, (pthread_mutex_t * mutex), (mutex))
FH_GUARD(int, pthread_cond_wait, (pthread_cond_t * cond, pthread_mutex_t* mutex), (cond, mutex))
FH_GUARD(int, pthread_cond_signal, (pthread_cond_t * cond), (cond))
FH_GUARD(int, sem_wait, (sem_t * sem), (sem))
FH_GUARD(int, sem_post, (sem_t * sem), (sem))
FH_GUARD(int, nanosleep, (const struct timespec* wanted, struct timespec* left), (wanted, left))
FH_GUARD(ssize_t, write, (int file, const void* data, size_t size), (file, data, size))
FH_GUARD(ssize_t, read, (int file, void* data, size_t size), (file, data, size))
FH_GUARD(int, puts, (const char* text), (text))
FH_GUARD(FILE*, fopen, (const char* path, const char* mode), (path, mode))
FH_GUARD(int, fputs, (const char* text, FILE* file), (text, file))
FH_GUARD(size_t, fwrite, (const void* data, size_t size, size_t count, FILE* file), (data, size, count, file))
FH_GUARD(int, vfprintf, (FILE * file, const char* format, va_list values), (file, format, values))

FH_GUARD(int, pthread_mutex_unlock, (pthread_mutex_t * mutex), (mutex))
FH_GUARD(int, pthread_cond_broadcast, (pthread_cond_t * cond), (cond))
FH_GUARD(int, pthread_spin_lock, (pthread_spinlock_t * lock), (lock))
FH_GUARD(int, pthread_rwlock_rdlock, (pthread_rwlock_t * lock), (lock))
FH_GUARD(int, pthread_rwlock_wrlock, (pthread_rwlock_t * lock), (lock))
FH_GUARD(int, usleep, (useconds_t wanted), (wanted))
FH_GUARD(unsigned, sleep, (unsigned wanted), (wanted))
FH_GUARD(int,
         clock_nanosleep,
         (clockid_t clock, int flags, const struct timespec* wanted, struct timespec* left),
         (clock, flags, wanted, left))
FH_GUARD(int, sched_yield, (void), ())
FH_GUARD(int, clock_gettime, (clockid_t clock, struct timespec* now), (clock, now))
FH_GUARD(int, gettimeofday, (struct timeval* now, void* zone), (now, zone))
FH_GUARD(time_t, time, (time_t * now), (now))
FH_GUARD(clock_t, clock, (void), ())
FH_GUARD(void*,
         mmap,
         (void* at, size_t size, int access, int flags, int file, off_t offset),
         (at, size, access, flags, file, offset))
FH_GUARD(int, munmap, (void* at, size_t size), (at, size))
FH_GUARD(int, mprotect, (void* at, size_t size, int access), (at, size, access))
FH_GUARD(int, close, (int file), (file))
FH_GUARD(int, unlink, (const char* path), (path))
FH_GUARD(int, fclose, (FILE * file), (file))
FH_GUARD(int, fflush, (FILE * file), (file))
FH_GUARD(int, putchar, (int c), (c))
FH_GUARD(char*, getenv, (const char* name), (name))

/// The variable arguments go on as a list
#define FH_GUARD_PRINT(name, file, parameters, last)    \
  int name parameters                                   \
  {                                                     \
    static int (*real)(FILE*, const char*, va_list);    \
    if (!real) {                                        \
      find_real(&real, sizeof(real), "vfprintf");       \
    }                                                   \
    note(#name);                                        \
    va_list values;                                     \
    va_start(values, last);                             \
    const int count = real(file, last, values);         \
    va_end(values);                                     \
    return count;                                       \
  }

FH_GUARD_PRINT(printf, stdout, (const char* format, ...), format)
FH_GUARD_PRINT(fprintf, file, (FILE * file, const char* format, ...), format)

int
open(const char* const path, const int flags, ...)
{
  static int (*real)(const char*, int, ...);
  if (!real) {
    find_real(&real, sizeof(real), "open");
  }
  note("open");
  va_list values;
  va_start(values, flags);
  const int mode = flags & O_CREAT ? va_arg(values, int) : 0;
  va_end(values);
  return real(path, flags, mode);
}

/// The guard itself: it sees what it must, and only within run()
static void
test_guard(void** const state)
{
  (void)state;
  void* volatile memory = malloc(10);
  free(memory);
  assert_int_equal(offences, 0);

  pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
  is_audio = 1;
  memory = malloc(10);
  free(memory);
  pthread_mutex_lock(&lock);
  is_audio = 0;
  pthread_mutex_unlock(&lock);
  assert_int_equal(offences, 3);
  assert_string_equal(last_call, "pthread_mutex_lock");
  offences = 0;
}

static void
run_guarded(const FhHost* const host, const uint32_t frames)
{
  is_audio = 1;
  fh_host_run(host, frames);
  is_audio = 0;
}

/// A take with every control moved, learning, faults, broken samples and a restore
static void
check_calls(const FhVariant* const variant, FhTake* const take)
{
  FhHost host;
  fh_host_open(&host, variant, 48000.0);
  const bool                       is_pair = variant->closes > 1;
  float* const                     ins[3] = {take->close[0], is_pair ? take->close[1] : take->ambient, take->ambient};
  float                            out[2][512];
  LilvState* const                 saved = lilv_state_new_from_instance(
    host.plugin, host.instance, fh_map(), NULL, NULL, NULL, NULL, NULL, NULL, LV2_STATE_IS_POD, NULL);
  uint32_t seed = 41u;
  take->close[0][5000] = NAN;
  take->ambient[9000] = INFINITY;
  for (uint32_t done = 0; done + 512 <= take->frames; done += 512) {
    const uint32_t in_count = variant->closes + 1u;
    for (uint32_t i = 0; i < fh_host_audio(&host); ++i) {
      fh_host_connect(&host, i, i < in_count ? ins[i] + done : out[i - in_count]);
    }
    if (done > take->frames / 2 && seed % 5u == 0) {
      fh_host_connect(&host, variant->closes, NULL);
    }
    for (unsigned i = 0; i < FH_CONTROL_COUNT && done; ++i) {
      const FhPortInfo* const info = &fh_controls[i];
      if (info->flow == FH_INPUT && fh_random(&seed) % 8u == 0) {
        host.controls[i] = info->min + (info->max - info->min) * (float)(fh_random(&seed) % 101u) / 100.0f;
      }
    }
    if (fh_random(&seed) % 16u == 0) {
      lilv_state_restore(saved, host.instance, NULL, NULL, 0, NULL);
    }
    run_guarded(&host, 512);
  }
  if (offences) {
    fail_msg("%s: %d calls within run(), the last to %s", variant->uri, offences, last_call);
  }
  lilv_state_free(saved);
  fh_host_close(&host);
}

static void
test_no_calls(void** const state)
{
  (void)state;
  FhTake take = fh_take_make(48000.0, 8.0, 42u);
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    check_calls(&fh_variants[v], &take);
  }
  fh_take_free(&take);
}

/// Counts what is stored, and does nothing that the guard would hold against the plugin
static LV2_State_Status
count_stored(const LV2_State_Handle handle,
             const uint32_t         key,
             const void* const      value,
             const size_t           size,
             const uint32_t         type,
             const uint32_t         flags)
{
  (void)key;
  (void)value;
  (void)type;
  (void)flags;
  *(size_t*)handle += size;
  return LV2_STATE_SUCCESS;
}

/// A whole Learn, a clear, a reconnection in every block, a save after each, and activate() when it is over
static void
test_learn_calls(void** const state)
{
  (void)state;
  FhHost host;
  fh_host_open(&host, &fh_variants[0], 8000.0);
  FhTake                           take = fh_take_make(host.rate, FH_LEARN_SECONDS + 0.5, 43u);
  const LV2_State_Interface* const interface =
    (const LV2_State_Interface*)lilv_instance_get_extension_data(host.instance, LV2_STATE__interface);
  const LV2_Handle handle = lilv_instance_get_handle(host.instance);
  size_t           stored = 0;
  float            out[256];
  fh_host_run(&host, 0);
  host.controls[FH_LEARN] = FH_LEARN_AMBIENT;
  for (uint32_t done = 0; done + 256 <= take.frames; done += 256) {
    is_audio = 1;
    fh_host_connect(&host, 0, take.close[0] + done);
    fh_host_connect(&host, 1, take.ambient + done);
    fh_host_connect(&host, 2, out);
    fh_host_connect_control(&host, FH_EXCESS, done % 512 ? NULL : &host.controls[FH_EXCESS]);
    fh_host_run(&host, 256);
    const LV2_State_Status saved = interface->save(handle, count_stored, &stored, 0, NULL);
    is_audio = 0;
    assert_int_equal(saved, LV2_STATE_SUCCESS);
  }
  assert_true(stored > 0); // It did learn
  host.controls[FH_CLEAR] = 1.0f;
  run_guarded(&host, 256);
  lilv_instance_deactivate(host.instance);
  is_audio = 1;
  lilv_instance_activate(host.instance);
  is_audio = 0;
  if (offences) {
    fail_msg("%d calls in connect_port(), run(), save() or activate(), the last to %s", offences, last_call);
  }
  fh_take_free(&take);
  fh_host_close(&host);
}

/// run() gives the thread's floating-point state back as it was, whatever that is
static void
test_float_state(void** const state)
{
  (void)state;
  FhHost host;
  fh_host_open(&host, &fh_variants[0], 48000.0);
  float sound[512] = {1e-20f};
  for (uint32_t i = 0; i < 3; ++i) {
    fh_host_connect(&host, i, sound);
  }

  const volatile float tiny = 1e-38f;
  fh_host_run(&host, 512);
  const volatile float denormal = tiny / 16.0f; // Would be 0 if the flush were still on
  assert_true(denormal > 0.0f);

  assert_int_equal(fesetround(FE_UPWARD), 0);
  fh_host_run(&host, 512);
  assert_int_equal(fegetround(), FE_UPWARD);
  fesetround(FE_TONEAREST);
  fh_host_close(&host);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_guard),
    cmocka_unit_test(test_no_calls),
    cmocka_unit_test(test_learn_calls),
    cmocka_unit_test(test_float_state),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
