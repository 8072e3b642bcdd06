/* JSON text is built by jansson, whose allocators belong to the whole process. */
#pragma once

/* Makes jansson take its memory from base/memory.h, so that a guarded call can be left from inside of it. For a program
 * that owns its process, before any JSON is made; without it jansson's own failures become WR_E_MEMORY. */
void wr_json_use_our_memory(void);
