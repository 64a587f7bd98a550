/* log_file.h - holding the log while it is read or written. */
#ifndef FILES_LOG_FILE_H
#define FILES_LOG_FILE_H

#include <stdbool.h>

/* Lock an open log, to write it or to read it, waiting up to 10 s for others; closing it lets go.
 * False where another program keeps it. A file system without locks is taken as it is. */
bool th_log_hold(int fd, bool to_write);

#endif
