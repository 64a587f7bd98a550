/* signals.h - a write that is not torn in two by a key pressed meanwhile. */
#ifndef FILES_SIGNALS_H
#define FILES_SIGNALS_H

#include <signal.h>
#include <stdbool.h>

enum { TH_SIGNALS_KEPT = 10 };

/* What a signal did before it was kept waiting. */
typedef struct {
    struct sigaction before[TH_SIGNALS_KEPT];
    bool kept[TH_SIGNALS_KEPT];
} th_signals;

/* Signals that would end the program wait until they are let go: for the short while of a write.
 * A mask would not do, as another thread (of a library) would take them; what is ignored or has a
 * handler is left alone. One write at a time. SIGKILL waits for nobody. */
void th_signals_keep(th_signals *signals);
/* Let them go: a signal that came meanwhile now does what it does. errno stays. */
void th_signals_release(const th_signals *signals);

#endif
