# What reads the source without running it: make tidy (clang-tidy 14; .clang-tidy says what it looks for and what not, and why) and
# make cppcheck, both by make static; what is a false alarm is argued where it stands. STATIC=FILE … looks at some files only.
# So is make analyze (gcc 12's -fanalyzer), a minute or two. What it is not asked about, in three places:
#   sim/kernel_*   a vector's element-wise shift counts as one of a scalar of one or two bytes, and a vector that is filled
#                  element by element as never set
#   base/memory.c  a block leaks, it says: the pool holds it, by a pointer into it
#   sim/trials.c   the rows are laid out twice, first to be counted, with nothing behind them: it keeps the first pointers
LESS_KERNEL := -Wno-analyzer-shift-count-overflow -Wno-analyzer-use-of-uninitialized-value
ANALYZE_LESS := \
  */kernel_avx2.c) less="$(LESS_KERNEL) -mavx2";; \
  */kernel_avx512.c) less="$(LESS_KERNEL) -mavx512f -mavx512dq -mavx512bw -mavx512vl";; \
  */kernel_*.c) less="$(LESS_KERNEL)";; \
  */base/memory.c) less=-Wno-analyzer-malloc-leak;; \
  */sim/trials.c) less=-Wno-analyzer-null-dereference;;
STATIC ?= src/main.c $(LIB_SRC)
JOBS ?= $(shell getconf _NPROCESSORS_ONLN)
.PHONY: static tidy analyze cppcheck
static: tidy cppcheck analyze
tidy: $(B)/wetrun
	@printf '%s\n' $(STATIC) | xargs -P $(JOBS) -I FILE sh -c 'clang-tidy-14 --quiet FILE -- -std=c11 -D_GNU_SOURCE \
	  -DWR_VERSION=\"\" -Iinclude -Isrc/present 2>/dev/null || { echo "clang-tidy: FILE"; exit 1; }'
	@echo "clang-tidy: nothing in $(words $(STATIC)) files"
analyze: $(B)/wetrun
	@printf '%s\n' $(STATIC) | xargs -P $(JOBS) -I FILE sh -c 'case FILE in $(ANALYZE_LESS) esac; \
	  gcc -std=c11 -D_GNU_SOURCE -DWR_VERSION=\"\" -Iinclude -Isrc/present -O1 -fanalyzer -Wall -Wextra -Werror -Wno-psabi \
	  $$less -c -o /dev/null FILE || { echo "gcc -fanalyzer: FILE"; exit 1; }'
	@echo "gcc -fanalyzer: nothing in $(words $(STATIC)) files"
# internalAstError: what its parser makes of a vector type and of one macro, in two files that two compilers read.
cppcheck: $(B)/wetrun
	@cppcheck -q -j $(JOBS) --enable=warning,portability --inline-suppr --error-exitcode=1 --std=c11 --library=gnu \
	  --suppress=missingIncludeSystem --suppress=internalAstError -D_GNU_SOURCE -DWR_VERSION='""' -Iinclude -Isrc/present $(STATIC)
	@echo "cppcheck: nothing in $(words $(STATIC)) files"
