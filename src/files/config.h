/* config.h - where the user's own files lie. */
#ifndef FILES_CONFIG_H
#define FILES_CONFIG_H

#include <stdbool.h>
#include <stddef.h>

/* $XDG_CONFIG_HOME/tackhold/NAME, ~/.config/tackhold/NAME without it. False where neither is set or
 * the path does not fit. */
bool th_config_path(const char *name, char *path, size_t size);
/* The same in $XDG_DATA_HOME, ~/.local/share without it. */
bool th_data_path(const char *name, char *path, size_t size);

#endif
