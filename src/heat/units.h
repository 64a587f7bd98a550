/* units.h - rows speak of metres, this layer of millimetres. Private to heat. */
#ifndef TACKHOLD_HEAT_UNITS_H
#define TACKHOLD_HEAT_UNITS_H

#define PER_MM 1e-3  /* 1/m in 1/mm */
#define PER_MM2 1e-6 /* 1/m2 in 1/mm2 */
#define PER_MM3 1e-9 /* 1/m3 in 1/mm3 */

#endif
