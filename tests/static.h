/* static.h - read before every source by the static check, and by nothing else. An analyser sees one
 * file at a time and would take it that these may return true. They never do: see base.h. */
#include "tackhold/base.h"
#define th_fail(...) (th_fail(__VA_ARGS__), false)
#define th_fail_at(...) (th_fail_at(__VA_ARGS__), false)
#define th_fail_place(...) (th_fail_place(__VA_ARGS__), false)
#define th_fail_memory(...) (th_fail_memory(__VA_ARGS__), false)

#ifdef LAYER_tables
#include "src/tables/job.h"
#include "src/tables/keys.h"
#define th_entry_fail(...) (th_entry_fail(__VA_ARGS__), false)
#define th_unknown_key(...) (th_unknown_key(__VA_ARGS__), false)
#define th_builder_fail(...) (th_builder_fail(__VA_ARGS__), false)
#endif

#ifdef LAYER_bond
#include "src/bond/linear_solver.h"
#define th_linear_too_large(...) (th_linear_too_large(__VA_ARGS__), false)
#define th_linear_not_held(...) (th_linear_not_held(__VA_ARGS__), false)
#endif

#ifdef LAYER_advice
#include "src/advice/judge.h"
#define th_refuse_cut(...) (th_refuse_cut(__VA_ARGS__), false)
#endif

#ifdef LAYER_program
#include "src/program/read.h"
#define rs_fail(...) (rs_fail(__VA_ARGS__), false)
#define rs_refuse_zero(...) (rs_refuse_zero(__VA_ARGS__), false)
#endif
