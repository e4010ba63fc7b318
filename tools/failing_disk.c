/* A file system that fails when told to, put under a program by LD_PRELOAD.
 *
 * It counts the calls that change files whose path contains FAILING_DISK_PATH (write, sync, truncate,
 * unlink), and at call number FAILING_DISK_AT does what FAILING_DISK_MODE says:
 *   once   the call fails with an input/output error
 *   since  the call and all later ones fail so
 *   kill   the process is killed before the call
 *   torn   of a write one half is written, then the process is killed; other calls as `kill`
 * At its end the process writes the number of calls to the file FAILING_DISK_COUNT.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static atomic_long calls;

enum verdict { PASS, FAIL, TEAR };

static int watched_path(const char *path) {
    const char *part = getenv("FAILING_DISK_PATH");
    return part && strstr(path, part) != NULL;
}

static int watched(int file) {
    char link[64], path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return watched_path(path);
}

static enum verdict judge(int is_write) {
    const char *at_text = getenv("FAILING_DISK_AT"), *mode = getenv("FAILING_DISK_MODE");
    long number = atomic_fetch_add(&calls, 1) + 1, at = at_text ? atol(at_text) : 0;
    if (!mode || at == 0 || number < at) return PASS;
    if (!strcmp(mode, "since") || (!strcmp(mode, "once") && number == at)) return FAIL;
    if (number == at && !strcmp(mode, "torn") && is_write) return TEAR;
    if (number == at && (!strcmp(mode, "kill") || !strcmp(mode, "torn"))) raise(SIGKILL);
    return PASS;
}

static int failed(void) {
    errno = EIO;
    return -1;
}

#define NEXT(name) (__typeof__(&name)) dlsym(RTLD_NEXT, #name)

#define WRITE_AT(name, offset_type)                                                    \
    ssize_t name(int file, const void *bytes, size_t count, offset_type offset) {      \
        __typeof__(&name) next = NEXT(name);                                           \
        if (watched(file)) {                                                           \
            switch (judge(1)) {                                                        \
            case FAIL: return failed();                                                \
            case TEAR: next(file, bytes, count / 2, offset); raise(SIGKILL); break;    \
            case PASS: break;                                                          \
            }                                                                          \
        }                                                                              \
        return next(file, bytes, count, offset);                                       \
    }
WRITE_AT(pwrite, off_t)
WRITE_AT(pwrite64, off64_t)

ssize_t write(int file, const void *bytes, size_t count) {
    __typeof__(&write) next = NEXT(write);
    if (watched(file)) {
        switch (judge(1)) {
        case FAIL: return failed();
        case TEAR: next(file, bytes, count / 2); raise(SIGKILL); break;
        case PASS: break;
        }
    }
    return next(file, bytes, count);
}

#define CHANGE(name, parameters, arguments, is_watched)           \
    int name parameters {                                         \
        __typeof__(&name) next = NEXT(name);                      \
        if (is_watched && judge(0) != PASS) return failed();      \
        return next arguments;                                    \
    }
CHANGE(fsync, (int file), (file), watched(file))
CHANGE(fdatasync, (int file), (file), watched(file))
CHANGE(ftruncate, (int file, off_t length), (file, length), watched(file))
CHANGE(ftruncate64, (int file, off64_t length), (file, length), watched(file))
CHANGE(unlink, (const char *path), (path), watched_path(path))

__attribute__((destructor)) static void tell(void) {
    const char *path = getenv("FAILING_DISK_COUNT");
    FILE *file = path ? fopen(path, "w") : NULL;
    if (!file) return;
    fprintf(file, "%ld\n", atomic_load(&calls));
    fclose(file);
}
