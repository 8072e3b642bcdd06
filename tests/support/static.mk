# What reads the source without running it: make tidy (clang-tidy 14; .clang-tidy says what it looks for and what not, and why) and
# make cppcheck, both by make static; what is a false alarm is argued where it stands. STATIC=FILE … looks at some files only.
# make analyze (gcc 12's -fanalyzer) is not among them: it takes vector shifts for shifts of scalars in the kernels, and loses
# track of pointers in eight other files, which are to be gone through.
STATIC ?= src/main.c $(LIB_SRC)
JOBS ?= $(shell getconf _NPROCESSORS_ONLN)
.PHONY: static tidy analyze cppcheck
static: tidy cppcheck
tidy: $(B)/wetrun
	@printf '%s\n' $(STATIC) | xargs -P $(JOBS) -I FILE sh -c 'clang-tidy-14 --quiet FILE -- -std=c11 -D_GNU_SOURCE \
	  -DWR_VERSION=\"\" -Iinclude -Isrc/present 2>/dev/null || { echo "clang-tidy: FILE"; exit 1; }'
	@echo "clang-tidy: nothing in $(words $(STATIC)) files"
analyze: $(B)/wetrun
	@printf '%s\n' $(STATIC) | xargs -P $(JOBS) -I FILE sh -c 'gcc -std=c11 -D_GNU_SOURCE -DWR_VERSION=\"\" -Iinclude -Isrc/present \
	  -O1 -fanalyzer -Wall -Wextra -Werror -Wno-psabi -c -o /dev/null FILE || { echo "gcc -fanalyzer: FILE"; exit 1; }'
	@echo "gcc -fanalyzer: nothing in $(words $(STATIC)) files"
# internalAstError: what its parser makes of a vector type and of one macro, in two files that two compilers read.
cppcheck: $(B)/wetrun
	@cppcheck -q -j $(JOBS) --enable=warning,portability --inline-suppr --error-exitcode=1 --std=c11 --library=gnu \
	  --suppress=missingIncludeSystem --suppress=internalAstError -D_GNU_SOURCE -DWR_VERSION='""' -Iinclude -Isrc/present $(STATIC)
	@echo "cppcheck: nothing in $(words $(STATIC)) files"
