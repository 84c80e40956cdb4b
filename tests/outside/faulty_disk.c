/* A disk that fails when it is told to: loaded before the C library (LD_PRELOAD), it counts calls that change regular
 * files and lets one of them, or all from one on, fail as on a full disk.
 *
 *   FAULTY_DISK_FROM   number of the first call that fails, from 1; 0: none
 *   FAULTY_DISK_ONCE   set: that call alone fails
 *   FAULTY_DISK_COUNT  file in which the number of calls is left at the end
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <unistd.h>

static long calls;

static int is_regular(int file) {
    struct stat about;
    return fstat(file, &about) == 0 && S_ISREG(about.st_mode);
}

/* Counts a call; whether it fails. */
static int fails(void) {
    const char *from = getenv("FAULTY_DISK_FROM");
    long first = from ? atol(from) : 0;
    long at = __atomic_add_fetch(&calls, 1, __ATOMIC_SEQ_CST);
    int is_due = first > 0 && (getenv("FAULTY_DISK_ONCE") ? at == first : at >= first);
    if (is_due)
        errno = ENOSPC;
    return is_due;
}

static int fails_on(int file) { return is_regular(file) && fails(); }

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int file, const void *bytes, size_t size) {
    return fails_on(file) ? -1 : REAL(write)(file, bytes, size);
}
ssize_t writev(int file, const struct iovec *parts, int count) {
    return fails_on(file) ? -1 : REAL(writev)(file, parts, count);
}
ssize_t pwrite(int file, const void *bytes, size_t size, off_t at) {
    return fails_on(file) ? -1 : REAL(pwrite)(file, bytes, size, at);
}
ssize_t pwrite64(int file, const void *bytes, size_t size, off64_t at) {
    return fails_on(file) ? -1 : REAL(pwrite64)(file, bytes, size, at);
}
int fsync(int file) { return fails_on(file) ? -1 : REAL(fsync)(file); }
int fdatasync(int file) { return fails_on(file) ? -1 : REAL(fdatasync)(file); }
int ftruncate(int file, off_t size) { return fails_on(file) ? -1 : REAL(ftruncate)(file, size); }
int ftruncate64(int file, off64_t size) { return fails_on(file) ? -1 : REAL(ftruncate64)(file, size); }
int rename(const char *from, const char *to) { return fails() ? -1 : REAL(rename)(from, to); }
int mkdir(const char *path, mode_t mode) { return fails() ? -1 : REAL(mkdir)(path, mode); }
size_t fwrite(const void *bytes, size_t size, size_t count, FILE *file) {
    return fails_on(fileno(file)) ? 0 : REAL(fwrite)(bytes, size, count, file);
}
int fflush(FILE *file) {
    return file && fails_on(fileno(file)) ? EOF : REAL(fflush)(file);
}
int fclose(FILE *file) {
    int is_due = fails_on(fileno(file));
    int outcome = REAL(fclose)(file);
    if (is_due)
        errno = ENOSPC;
    return is_due ? EOF : outcome;
}

__attribute__((destructor)) static void leave_count(void) {
    const char *path = getenv("FAULTY_DISK_COUNT");
    char text[32];
    int size = snprintf(text, sizeof text, "%ld\n", calls);
    int file = path ? open(path, O_CREAT | O_TRUNC | O_WRONLY, 0666) : -1;
    if (file >= 0) {
        if (REAL(write)(file, text, (size_t)size) != size)
            _exit(125);
        close(file);
    }
}
