#include "commands.h"
#define NOT_YET(f) enum wr_status f(const struct wr_settings *s, int *v, struct wr_error *err) { (void)s; (void)v; return wr_fail(err, WR_E_USAGE, "not built yet"); }
NOT_YET(wr_cmd_report)
