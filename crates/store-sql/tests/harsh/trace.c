/* What a process does to the files of one folder, written down as it happens; and, where asked, one step
   that fails or is the process's last. Loaded in front of the C library (LD_PRELOAD) by the tests.

   TRACE_FOLDER     only paths below it are looked at
   TRACE_LOG        the file the steps are added to
   TRACE_BREAK_AT   the number of the first changing step that breaks, from 1; 0 for none
   TRACE_BREAK_FOR  how many steps break
   TRACE_BREAK_HOW  the error number a broken step fails with; 0 to end the process there

   A step is: kind (1 byte), length and bytes of a path, offset (8 bytes), length and bytes of what else;
   lengths have 4 bytes. Kinds: C file made, W written, T cut to a length, S flushed, R renamed, U removed,
   M folder made, D said on the standard output. Shared memory files (-shm) are not kept by any disk and
   left out. One lock around step and note, so that the notes stand in the order of the steps. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#define MOST 4096
static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;
static char *paths[MOST];
static char *folder;
static size_t folder_length;
static int note_file = -1;
static long count, break_at, break_for, break_how;

static long number(const char *name) {
  char *text = getenv(name);
  return text ? atol(text) : 0;
}

__attribute__((constructor)) static void begin(void) {
  folder = getenv("TRACE_FOLDER");
  char *log = getenv("TRACE_LOG");
  if (!folder || !log) { folder = NULL; return; }
  folder_length = strlen(folder);
  note_file = syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
  break_at = number("TRACE_BREAK_AT");
  break_for = number("TRACE_BREAK_FOR");
  break_how = number("TRACE_BREAK_HOW");
}

/* The path below the folder, or nothing. */
static const char *ours(const char *path) {
  if (!folder || !path || strncmp(path, folder, folder_length)) return NULL;
  path += folder_length;
  if (*path == '/') path++;
  else if (*path) return NULL;
  size_t n = strlen(path);
  if (n > 4 && !strcmp(path + n - 4, "-shm")) return NULL;
  return path;
}

static const char *path_of(int fd) { return fd >= 0 && fd < MOST ? paths[fd] : NULL; }

static void note(char kind, const char *path, uint64_t at, const void *more, uint32_t length) {
  uint32_t path_length = strlen(path);
  size_t size = 1 + 4 + path_length + 8 + 4 + length;
  char *all = malloc(size), *p = all;
  *p++ = kind;
  memcpy(p, &path_length, 4); p += 4;
  memcpy(p, path, path_length); p += path_length;
  memcpy(p, &at, 8); p += 8;
  memcpy(p, &length, 4); p += 4;
  if (length) memcpy(p, more, length);
  if (syscall(SYS_write, note_file, all, size) != (long)size) abort();
  free(all);
}

/* Counts a changing step. Nonzero where it must not happen; errno says why. */
static int breaks(void) {
  count++;
  if (!break_at || count < break_at || count >= break_at + break_for) return 0;
  if (!break_how) { kill(getpid(), SIGKILL); for (;;) pause(); }
  errno = (int)break_how;
  return 1;
}

#define REAL(type, name, ...)                                    \
  static type (*real)(__VA_ARGS__);                              \
  if (!real) real = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, name)
#define LOCK pthread_mutex_lock(&turn)
#define UNLOCK do { int kept = errno; pthread_mutex_unlock(&turn); errno = kept; } while (0)

static int opened(int (*real)(const char *, int, ...), const char *path, int flags, mode_t mode) {
  const char *our = ours(path);
  if (!our) return real(path, flags, mode);
  LOCK;
  struct stat there;
  int was = stat(path, &there) == 0;
  int makes = (flags & O_CREAT) && !was, cuts = (flags & O_TRUNC) && was && S_ISREG(there.st_mode) && there.st_size > 0;
  int fd = -1;
  if (!((makes || cuts) && breaks())) {
    fd = real(path, flags, mode);
    if (fd >= 0 && fd < MOST) {
      free(paths[fd]);
      paths[fd] = strdup(our);
      if (makes) note('C', our, 0, NULL, 0);
      if (cuts) note('T', our, 0, NULL, 0);
    }
  }
  UNLOCK;
  return fd;
}

#define OPEN(name)                                                                            \
  int name(const char *path, int flags, ...) {                                                \
    static int (*real)(const char *, int, ...);                                               \
    if (!real) real = (int (*)(const char *, int, ...))dlsym(RTLD_NEXT, #name);               \
    mode_t mode = 0;                                                                          \
    if (flags & (O_CREAT | O_TMPFILE)) { va_list l; va_start(l, flags); mode = va_arg(l, mode_t); va_end(l); } \
    return opened(real, path, flags, mode);                                                   \
  }
OPEN(open)
OPEN(open64)

int close(int fd) {
  REAL(int, "close", int);
  LOCK;
  if (fd >= 0 && fd < MOST) { free(paths[fd]); paths[fd] = NULL; }
  int done = real(fd);
  UNLOCK;
  return done;
}

/* A disk that fills up takes the first part of a write: half of the first broken one is written. */
static ssize_t written(int fd, const void *from, size_t length, off_t at, int here) {
  const char *our = path_of(fd);
  int broken = breaks(), half = broken && count == break_at && length > 1;
  if (broken && !half) return -1;
  if (half) length /= 2;
  if (here) at = lseek(fd, 0, SEEK_CUR);
  ssize_t done = here ? syscall(SYS_write, fd, from, length) : syscall(SYS_pwrite64, fd, from, length, at);
  if (done > 0) note('W', our, at, from, done);
  return done;
}

ssize_t write(int fd, const void *from, size_t length) {
  REAL(ssize_t, "write", int, const void *, size_t);
  LOCK;
  ssize_t done;
  if (path_of(fd)) {
    done = written(fd, from, length, 0, 1);
  } else {
    done = real(fd, from, length);
    if (note_file >= 0 && fd == 1 && done > 4 && !memcmp(from, "did ", 4)) note('D', "", 0, from, done);
  }
  UNLOCK;
  return done;
}

#define PWRITE(name)                                                          \
  ssize_t name(int fd, const void *from, size_t length, off_t at) {           \
    REAL(ssize_t, #name, int, const void *, size_t, off_t);                   \
    LOCK;                                                                     \
    ssize_t done = path_of(fd) ? written(fd, from, length, at, 0) : real(fd, from, length, at); \
    UNLOCK;                                                                   \
    return done;                                                              \
  }
PWRITE(pwrite)
PWRITE(pwrite64)

#define CUT(name)                                                    \
  int name(int fd, off_t length) {                                   \
    REAL(int, #name, int, off_t);                                    \
    LOCK;                                                            \
    const char *our = path_of(fd);                                   \
    int done = our && breaks() ? -1 : real(fd, length);              \
    if (our && done == 0) note('T', our, length, NULL, 0);           \
    UNLOCK;                                                          \
    return done;                                                     \
  }
CUT(ftruncate)
CUT(ftruncate64)

#define FLUSH(name)                                                  \
  int name(int fd) {                                                 \
    REAL(int, #name, int);                                           \
    LOCK;                                                            \
    const char *our = path_of(fd);                                   \
    int done = our && breaks() ? -1 : real(fd);                      \
    if (our && done == 0) note('S', our, 0, NULL, 0);                \
    UNLOCK;                                                          \
    return done;                                                     \
  }
FLUSH(fsync)
FLUSH(fdatasync)

int rename(const char *from, const char *to) {
  REAL(int, "rename", const char *, const char *);
  const char *our = ours(from), *other = ours(to);
  if (!our || !other) return real(from, to);
  LOCK;
  int done = breaks() ? -1 : real(from, to);
  if (done == 0) note('R', our, 0, other, strlen(other));
  UNLOCK;
  return done;
}

int unlink(const char *path) {
  REAL(int, "unlink", const char *);
  const char *our = ours(path);
  if (!our) return real(path);
  LOCK;
  int done = real(path);
  if (done == 0) note('U', our, 0, NULL, 0);
  UNLOCK;
  return done;
}

int mkdir(const char *path, mode_t mode) {
  REAL(int, "mkdir", const char *, mode_t);
  const char *our = ours(path);
  if (!our) return real(path, mode);
  LOCK;
  struct stat there;
  int new = stat(path, &there) != 0;
  int done = new && breaks() ? -1 : real(path, mode);
  if (done == 0) note('M', our, 0, NULL, 0);
  UNLOCK;
  return done;
}
