/* A disk that fails at the n-th call: preloaded into a whole process, it stands between that and the C library.

   Counted are the calls on files whose path holds FAULT_PATH. FAULT_AT is the first that fails (from 1; 0: none),
   FAULT_LASTING=1 lets all later ones fail, too. FAULT_KIND is EIO, ENOSPC, EINTR (once, as a signal does) or SHORT
   (half is written, once). FAULT_ONLY=sync counts the syncs alone. The number of calls is left in FAULT_COUNT. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <unistd.h>

static long calls = 0;

static int ours(int fd) {
    char link[64], path[4096];
    const char *wanted = getenv("FAULT_PATH");
    if (!wanted) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = syscall(SYS_readlink, link, path, sizeof path - 1);
    if (length <= 0) return 0;
    path[length] = 0;
    return strstr(path, wanted) != NULL;
}

static int all_calls(void) {
    const char *only = getenv("FAULT_ONLY");
    return !only || strcmp(only, "sync");
}

static int named(const char *path) {
    const char *wanted = getenv("FAULT_PATH");
    return wanted && path && all_calls() && strstr(path, wanted) != NULL;
}

/* 0: go on; 1: fail with errno set; 2: write half of it. */
static int judge(int writes) {
    const char *at = getenv("FAULT_AT"), *kind = getenv("FAULT_KIND"), *lasting = getenv("FAULT_LASTING");
    const char *count = getenv("FAULT_COUNT");
    long first = at ? atol(at) : 0;
    calls++;
    if (count) {
        int fd = syscall(SYS_openat, AT_FDCWD, count, O_WRONLY | O_CREAT | O_TRUNC, 0600);
        char text[32];
        int length = snprintf(text, sizeof text, "%ld", calls);
        if (fd >= 0) { syscall(SYS_write, fd, text, length); syscall(SYS_close, fd); }
    }
    if (!first || !kind || calls < first || (calls > first && !(lasting && *lasting == '1'))) return 0;
    if (!strcmp(kind, "EIO")) { errno = EIO; return 1; }
    if (!strcmp(kind, "ENOSPC")) { errno = writes ? ENOSPC : EIO; return 1; }
    if (calls > first) return 0; /* a call that was interrupted or came short is made again by its caller */
    if (!strcmp(kind, "EINTR")) { errno = EINTR; return 1; }
    return writes ? 2 : 0;
}

#define NEXT(name) static __typeof__(&name) next; if (!next) next = dlsym(RTLD_NEXT, #name)

ssize_t write(int fd, const void *data, size_t size) {
    NEXT(write);
    int how = ours(fd) && all_calls() ? judge(1) : 0;
    return how == 1 ? -1 : next(fd, data, how == 2 ? size / 2 : size);
}
ssize_t pwrite(int fd, const void *data, size_t size, off_t at) {
    NEXT(pwrite);
    int how = ours(fd) && all_calls() ? judge(1) : 0;
    return how == 1 ? -1 : next(fd, data, how == 2 ? size / 2 : size, at);
}
ssize_t pwrite64(int fd, const void *data, size_t size, off64_t at) {
    NEXT(pwrite64);
    int how = ours(fd) && all_calls() ? judge(1) : 0;
    return how == 1 ? -1 : next(fd, data, how == 2 ? size / 2 : size, at);
}
ssize_t read(int fd, void *data, size_t size) {
    NEXT(read);
    return ours(fd) && all_calls() && judge(0) == 1 ? -1 : next(fd, data, size);
}
ssize_t pread(int fd, void *data, size_t size, off_t at) {
    NEXT(pread);
    return ours(fd) && all_calls() && judge(0) == 1 ? -1 : next(fd, data, size, at);
}
ssize_t pread64(int fd, void *data, size_t size, off64_t at) {
    NEXT(pread64);
    return ours(fd) && all_calls() && judge(0) == 1 ? -1 : next(fd, data, size, at);
}
int fsync(int fd) {
    NEXT(fsync);
    return ours(fd) && judge(0) == 1 ? -1 : next(fd);
}
int fdatasync(int fd) {
    NEXT(fdatasync);
    return ours(fd) && judge(0) == 1 ? -1 : next(fd);
}
int ftruncate(int fd, off_t size) {
    NEXT(ftruncate);
    return ours(fd) && all_calls() && judge(1) == 1 ? -1 : next(fd, size);
}
int ftruncate64(int fd, off64_t size) {
    NEXT(ftruncate64);
    return ours(fd) && all_calls() && judge(1) == 1 ? -1 : next(fd, size);
}
int unlink(const char *path) {
    NEXT(unlink);
    return named(path) && judge(0) == 1 ? -1 : next(path);
}
int open(const char *path, int flags, ...) {
    NEXT(open);
    va_list rest;
    va_start(rest, flags);
    mode_t mode = va_arg(rest, mode_t);
    va_end(rest);
    return named(path) && judge(flags & O_CREAT) == 1 ? -1 : next(path, flags, mode);
}
int open64(const char *path, int flags, ...) {
    NEXT(open64);
    va_list rest;
    va_start(rest, flags);
    mode_t mode = va_arg(rest, mode_t);
    va_end(rest);
    return named(path) && judge(flags & O_CREAT) == 1 ? -1 : next(path, flags, mode);
}
