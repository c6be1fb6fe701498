/* Notes every change to files under $POWER_ROOT, in order, in $POWER_LOG. For LD_PRELOAD. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

#define MOST 4096
static char *names[MOST];
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static int out = -2;

#define REAL(ret, name, ...) static ret (*real)(__VA_ARGS__); if (!real) real = dlsym(RTLD_NEXT, name)

static ssize_t plain(int fd, const void *data, size_t size) {
    REAL(ssize_t, "write", int, const void *, size_t);
    return real(fd, data, size);
}

static int inside(const char *path) {
    const char *root = getenv("POWER_ROOT");
    return path && root && !strncmp(path, root, strlen(root));
}

/* op, lengths of two texts, offset; then the texts. */
static void note(char op, const char *a, int64_t at, const void *b, int64_t size) {
    if (out == -2) {
        REAL(int, "open", const char *, int, ...);
        const char *log = getenv("POWER_LOG");
        out = log ? real(log, O_WRONLY | O_CREAT | O_APPEND, 0600) : -1;
    }
    if (out < 0) return;
    int64_t head[4] = {op, (int64_t)strlen(a), size, at};
    pthread_mutex_lock(&lock);
    plain(out, head, sizeof head);
    plain(out, a, strlen(a));
    if (size > 0) plain(out, b, (size_t)size);
    pthread_mutex_unlock(&lock);
}

static int opened(int fd, const char *path, int flags, int was) {
    char whole[PATH_MAX];
    if (fd < 0 || fd >= MOST) return fd;
    free(names[fd]);
    names[fd] = NULL;
    if (path[0] != '/' || !inside(path)) {
        char link[64];
        snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
        ssize_t size = readlink(link, whole, sizeof whole - 1);
        if (size < 0) return fd;
        whole[size] = 0;
        path = whole;
    }
    if (inside(path)) {
        names[fd] = strdup(path);
        if ((flags & O_CREAT) && !was) note('c', path, 0, "", 0);
        if (flags & O_TRUNC) note('t', path, 0, "", 0);
    }
    return fd;
}

#define OPEN(fn) int fn(const char *path, int flags, ...) { \
    va_list more; va_start(more, flags); int mode = va_arg(more, int); va_end(more); \
    int was = !access(path, F_OK); REAL(int, #fn, const char *, int, ...); \
    return opened(real(path, flags, mode), path, flags, was); }
OPEN(open)
OPEN(open64)
#define OPENAT(fn) int fn(int dir, const char *path, int flags, ...) { \
    va_list more; va_start(more, flags); int mode = va_arg(more, int); va_end(more); \
    int was = !faccessat(dir, path, F_OK, 0); REAL(int, #fn, int, const char *, int, ...); \
    return opened(real(dir, path, flags, mode), path, flags, was); }
OPENAT(openat)
OPENAT(openat64)

static const char *name(int fd) { return fd >= 0 && fd < MOST ? names[fd] : NULL; }

ssize_t write(int fd, const void *data, size_t size) {
    if (!name(fd)) return plain(fd, data, size);
    off_t at = lseek(fd, 0, SEEK_CUR);
    ssize_t done = plain(fd, data, size);
    if (done > 0) note('w', name(fd), at, data, done);
    return done;
}

#define PWRITE(fn, off) ssize_t fn(int fd, const void *data, size_t size, off at) { \
    REAL(ssize_t, #fn, int, const void *, size_t, off); \
    ssize_t done = real(fd, data, size, at); \
    if (done > 0 && name(fd)) note('w', name(fd), at, data, done); return done; }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)
#define TRUNCATE(fn, off) int fn(int fd, off at) { REAL(int, #fn, int, off); \
    int done = real(fd, at); if (!done && name(fd)) note('t', name(fd), at, "", 0); return done; }
TRUNCATE(ftruncate, off_t)
TRUNCATE(ftruncate64, off64_t)
#define SYNC(fn) int fn(int fd) { REAL(int, #fn, int); \
    int done = real(fd); if (!done && name(fd)) note('s', name(fd), 0, "", 0); return done; }
SYNC(fsync)
SYNC(fdatasync)
int close(int fd) {
    REAL(int, "close", int);
    if (name(fd)) { free(names[fd]); names[fd] = NULL; }
    return real(fd);
}
#define TWO(fn, op) int fn(const char *a, const char *b) { REAL(int, #fn, const char *, const char *); \
    int done = real(a, b); if (!done && inside(a)) note(op, a, 0, b, (int64_t)strlen(b)); return done; }
TWO(rename, 'r')
TWO(link, 'l')
int unlink(const char *a) {
    REAL(int, "unlink", const char *);
    int done = real(a);
    if (!done && inside(a)) note('u', a, 0, "", 0);
    return done;
}
