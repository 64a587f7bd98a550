/* signals.c - signals that would end the program in the middle of a write wait for its end. */
#define _POSIX_C_SOURCE 200809L
#include "signals.h"

#include <errno.h>
#include <stddef.h>

static const int ending[TH_SIGNALS_KEPT] = {SIGHUP,  SIGINT,  SIGQUIT, SIGALRM, SIGTERM,
                                            SIGUSR1, SIGUSR2, SIGPIPE, SIGXCPU, SIGXFSZ};

/* A handler has no other way to tell. */
static volatile sig_atomic_t came[TH_SIGNALS_KEPT];

static void note(int signal) {
    for (int i = 0; i < TH_SIGNALS_KEPT; i++) {
        if (ending[i] == signal) {
            came[i] = 1;
        }
    }
}

void th_signals_keep(th_signals *signals) {
    struct sigaction waits = {.sa_handler = note, .sa_flags = SA_RESTART};

    sigemptyset(&waits.sa_mask);
    for (int i = 0; i < TH_SIGNALS_KEPT; i++) {
        came[i] = 0;
        signals->kept[i] = sigaction(ending[i], NULL, &signals->before[i]) == 0 &&
                           (signals->before[i].sa_flags & SA_SIGINFO) == 0 &&
                           signals->before[i].sa_handler == SIG_DFL &&
                           sigaction(ending[i], &waits, NULL) == 0;
    }
}

void th_signals_release(const th_signals *signals) {
    int reason = errno;

    for (int i = 0; i < TH_SIGNALS_KEPT; i++) {
        if (signals->kept[i]) {
            sigaction(ending[i], &signals->before[i], NULL);
        }
    }
    for (int i = 0; i < TH_SIGNALS_KEPT; i++) {
        if (signals->kept[i] && came[i]) {
            raise(ending[i]);
        }
    }
    errno = reason;
}
