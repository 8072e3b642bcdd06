# wetrun: `make help` lists the targets.
CC ?= cc
PREFIX ?= /usr/local
LIBDIR ?= $(PREFIX)/lib
DESTDIR ?=
SANITIZE ?=
comma := ,
space := $(subst ,, )
VARIANT := $(if $(filter-out cc gcc,$(notdir $(CC))),$(subst $(space),,$(notdir $(CC))),)$(if $(SANITIZE),-$(subst $(comma),-,$(SANITIZE)),)
B := build$(if $(VARIANT),/variant-$(VARIANT),)

VERSION := 1.0.0
PACKAGES := gsl libcsv jansson nettle
WARN_SRC := -Wcast-qual -Wconversion -Wsign-conversion -Wundef -Wformat=2
WARN := -Wall -Wextra -Werror -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Wpointer-arith -Wvla -Wwrite-strings
# Under sanitizers -O2 compiles for half as long again; at -O1 gcc knows too little of ranges for one of its warnings.
OPT ?= $(if $(SANITIZE),-O1 $(if $(findstring clang,$(CC)),,-Wno-format-truncation),-O2)
DEBUG := $(if $(SANITIZE),-g1,-g)
# 32-bit x86: the arithmetic of SSE2 in place of the x87's, which is wider, for the same bytes and the kernels' vectors.
MACHINE := $(shell $(CC) $(filter -m32,$(CFLAGS)) -dumpmachine 2>/dev/null)
ARCH := $(if $(filter i386-% i486-% i586-% i686-%,$(MACHINE))$(filter -m32,$(CFLAGS)),-msse2 -mfpmath=sse)
# s390x: single precision stays single; ISO C there asks for double, which the kernels' vectors do not take.
ARCH += $(if $(filter s390x-%,$(MACHINE)),-fexcess-precision=fast)
CFLAGS_ALL := -std=c11 -D_GNU_SOURCE $(DEBUG) $(WARN) $(OPT) -Iinclude -ffp-contract=off -fno-math-errno -fPIC $(ARCH) \
  -MMD -MP -pthread $(if $(SANITIZE),-fsanitize=$(SANITIZE) -fno-sanitize-recover=all -fno-omit-frame-pointer -DWR_CHECKED,) $(CFLAGS)
LDFLAGS_ALL := -pthread $(if $(SANITIZE),-fsanitize=$(SANITIZE),) $(LDFLAGS)
LIBS := -lgsl -lgslcblas -lcsv -ljansson -lnettle -lm

LIB_SRC := $(sort $(filter-out src/main.c,$(wildcard src/*/*.c)))
LIB_OBJ := $(LIB_SRC:%.c=$(B)/%.o)
TEST_SRC := $(sort $(wildcard tests/unit/*/check_*.c tests/reference/check_*.c))
TEST_OBJ := $(TEST_SRC:%.c=$(B)/%.o)
SUPPORT_OBJ := $(patsubst %.c,$(B)/%.o,$(sort $(wildcard tests/support/*.c)))

.PHONY: all check unit cli demo build-tests help clean bench fuzz check-floors check-headers check-sources check-dead check-columns check-format format check-datasets check-codes check-lists plots calibrate
all: $(B)/wetrun

include $(wildcard src/*/*.mk)

$(B)/wetrun: $(B)/src/main.o $(B)/libwetrun.a
	$(CC) $(LDFLAGS_ALL) -o $@ $^ $(LIBS)

$(B)/libwetrun.a: $(LIB_OBJ)
	rm -f $@
	ar rcs $@ $^

# What says the version is compiled again with this file, in which it stands; nothing else is.
SAYS_VERSION := $(B)/src/main.o $(B)/src/cmd/emit.o $(B)/src/cmd/cmd_report.o
$(SAYS_VERSION): CFLAGS_ALL += -DWR_VERSION='"$(VERSION)"'
$(SAYS_VERSION): Makefile

# Under sanitizers compiling takes most of the time of what hardly computes.
ifneq ($(SANITIZE),)
$(B)/tests/unit/present/%.o $(B)/tests/unit/cmd/%.o $(B)/tests/unit/campaign/%.o $(B)/src/present/%.o $(B)/src/cmd/%.o: CFLAGS_ALL += -O0
endif

$(B)/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) $(WARN_SRC) -include include/wetrun/base/banned.h -c -o $@ $<

# Fields left out at the end of braces within a designated initializer are zero: gcc says nothing of them, clang does.
$(B)/tests/%.o: CFLAGS_ALL += $(if $(findstring clang,$(CC)),-Wno-missing-field-initializers)
$(B)/tests/%.o: tests/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) -Itests/support -c -o $@ $<

# Every tests/…/check_NAME.c defines `Suite *suite_NAME(void)`; the list of them is written here, not by hand.
$(B)/tests/suites.c: $(TEST_SRC) Makefile
	@mkdir -p $(@D)
	@{ echo '#include <check.h>'; echo '#include "suites.h"'; \
	   for t in $(TEST_SRC:.c=); do echo "Suite *suite_$${t##*/check_}(void);"; done; \
	   echo 'const struct suite_row suite_rows[] = {'; \
	   for t in $(TEST_SRC:.c=); do echo "    {\"$${t##*/check_}\", suite_$${t##*/check_}},"; done; \
	   echo '};'; echo 'const unsigned n_suite_row = sizeof suite_rows / sizeof suite_rows[0];'; } > $@
$(B)/tests/suites.o: $(B)/tests/suites.c
	$(CC) $(CFLAGS_ALL) -Itests/support -c -o $@ $<

$(B)/tests/run: $(TEST_OBJ) $(SUPPORT_OBJ) $(B)/tests/suites.o $(B)/libwetrun.a
	$(CC) $(LDFLAGS_ALL) -o $@ $^ $(shell pkg-config --libs check 2>/dev/null) $(LIBS)

unit: $(B)/tests/run
	@sh tests/support/unit.sh $(B)/tests/run

# The same suites under sanitizers; without a process for each test, which they would watch one by one.
.PHONY: sanitized build-sanitized
sanitized:
	@CK_FORK=no $(MAKE) --no-print-directory -s SANITIZE=address,undefined unit
build-sanitized: fuzzers
	@$(MAKE) --no-print-directory -s SANITIZE=address,undefined build-tests

build-tests: $(B)/tests/run $(B)/wetrun

# The two commands of the README: each installs what is missing first, so they start a make of their own.
demo:
	@sh .ci/packages build
	@[ -x $(B)/wetrun ] || echo "Building: a minute or two."
	@$(MAKE) --no-print-directory -s all
	@sh tests/support/demo.sh $(B)/wetrun

check:
	@sh .ci/packages build check
	@[ -x $(B)/tests/run ] || echo "Building, then testing: several minutes."
	@$(MAKE) --no-print-directory -s build-tests
	@$(MAKE) --no-print-directory -s cli
	@$(MAKE) --no-print-directory -s unit

# Behaviour at the command line: exit statuses, messages, files, faults.
cli: $(B)/wetrun
	@sh tests/cli/run.sh $(B)/wetrun

include tests/calibrate/calibrate.mk
include tests/faults/faults.mk
include tests/support/coverage.mk
include tests/support/static.mk
include tests/support/valgrind.mk

# A release archive of what is committed (of an unpacked one: of what is there), and a Debian package of it, which lintian looks at.
DIST := build/wetrun-$(VERSION).tar.gz
.PHONY: dist deb
dist:
	@mkdir -p build
	@if git rev-parse --git-dir >/dev/null 2>&1; then git archive --format=tar --prefix=wetrun-$(VERSION)/ HEAD; \
	 else tar --exclude=./build --transform 's,^\.,wetrun-$(VERSION),' -cf - .; fi | gzip -n > $(DIST).part
	mv $(DIST).part $(DIST)
deb: dist
	@sh .ci/packages build deb
	@sh .ci/make_deb $(DIST) $(VERSION)

help:
	@echo 'make [all]          build/wetrun and build/libwetrun.a'
	@echo 'make demo           installs what is missing, builds, runs the main job on bundled data'
	@echo 'make check          installs what is missing, runs all tests'
	@echo 'make unit           the unit and reference tests; build/tests/run SUITE … runs some'
	@echo 'make cli            the tests at the command line'
	@echo 'make fuzz           a short fuzz run of every reader and of the whole way (FUZZ_SECONDS=20; needs clang; FUZZ_SAN= without sanitizers)'
	@echo 'make bench          speed, side by side with what is installed; writes tests/bench/RESULTS.md'
	@echo 'make calibrate      simulation-based calibration and the coverage study; writes tests/calibrate/REPORT.md'
	@echo 'make faults         edges; allocations and system calls fail, signals strike, gnuplot hangs (tests/faults/faults.mk: a sample)'
	@echo 'make plots          the example charts in plots/, from the demo data'
	@echo 'make check-floors check-headers check-sources check-dead check-columns check-datasets check-codes check-lists   house rules'
	@echo 'make check-browser  the pages in a browser (chromium, chromium-driver; axe-core from npm)'
	@echo 'make coverage       branches that the tests take, file by file; fails where too few (GAPS=ROOM/FILE.c: what they miss)'
	@echo 'make static         clang-tidy 14, cppcheck and gcc -fanalyzer; each alone: make tidy, cppcheck, analyze (STATIC=FILE …: on some)'
	@echo 'make valgrind       the commands of the tests at the command line under valgrind (VALGRIND="CASE …": of some)'
	@echo 'make format         clang-format 14 on the lines that differ from BASE (HEAD)'
	@echo 'make check-same-bytes   gcc and clang, one thread and two, give the same bytes'
	@echo 'make install        PREFIX=/usr/local DESTDIR=: program, manual pages, completion, the library for others; make uninstall'
	@echo 'make manual         the manual pages in build/manual: man -M build/manual wetrun'
	@echo 'make check-manual   mandoc finds nothing to say about them'
	@echo 'make dist           build/wetrun-$(VERSION).tar.gz, of what is committed'
	@echo 'make deb            Debian packages of it in build/deb, installs what that needs'
	@echo 'make check-library  installs into a scratch tree, compiles the example there, compares its number'
	@echo 'SANITIZE=address,undefined or CC=clang build beside the plain variant, in build/variant-…'

include tests/fuzz/fuzz.mk

# Each header must compile alone.
check-headers:
	@for h in $$(find include -name '*.h' ! -name banned.h); do \
	  printf '#include "%s"\ntypedef int wr_not_empty;\n' "$${h#include/}" | $(CC) -std=c11 -D_GNU_SOURCE -Wall -Wextra -Werror -Iinclude -fsyntax-only -x c - || { echo "$$h does not compile alone"; exit 1; }; done
	@echo "headers: each compiles alone"

# Each source file includes what it uses: it compiles without the header that the build includes in all.
check-sources:
	@for f in src/*.c src/*/*.c; do \
	  $(CC) -std=c11 -D_GNU_SOURCE -DWR_VERSION='""' -Wall -Wextra -Werror -Wno-psabi -Iinclude -fsyntax-only $$f || { echo "$$f does not compile alone"; exit 1; }; done
	@echo "sources: each compiles alone"

# Functions that the program never reaches are listed with what they are there for.
check-dead: $(B)/wetrun
	@EMBEDDED="$(B)/src/present/plot_scripts.o $(B)/src/present/page_files.o" LIBS="$(LIBS) -pthread" \
	  sh tests/support/check_dead.sh $(CC) -std=c11 -D_GNU_SOURCE -DWR_VERSION='""' -Wall -Wextra -Werror -Iinclude

# Whatever the formatter leaves: comments, macros.
check-columns:
	@! git ls-files 'src/*.[ch]' 'include/*.h' 'tests/*.[ch]' | LC_ALL=C.UTF-8 xargs grep -nE '^.{121,}' || { echo 'lines of more than 120 columns'; exit 1; }

# clang-format 14 on the lines that differ from BASE; check-format only asks.
BASE ?= HEAD
FORMAT := clang-format-diff-14 -p1 -style=file
format:
	@git diff -U0 $(BASE) -- '*.c' '*.h' | $(FORMAT) -i
check-format:
	@git diff -U0 $(BASE) -- '*.c' '*.h' | $(FORMAT) | { ! grep . ; } || { echo "make format BASE=$(BASE) does this"; exit 1; }

# The bundled data sets are what their generator writes.
check-datasets:
	@sh tests/support/check_datasets.sh

# The tables of findings in wetrun-findings(7) and the program agree.
check-codes: check-lists
	@sh tests/support/check_codes.sh

# What the documents say that the program prints: tests/cli/cases/documents.sh compares, this writes it.
DOCUMENTS := README.md src/cmd/manual/tutorial.md
documents: $(B)/wetrun
	@python3 tests/support/documents.py $(B)/wetrun --update $(DOCUMENTS)

# So do its lists of commands, charts and criteria.
check-lists: $(B)/wetrun
	@sh tests/support/check_lists.sh $(B)/wetrun

# Includes point down: src/FLOORS.
check-floors:
	@sh tests/support/check_floors.sh

clean:
	rm -rf build

-include $(LIB_OBJ:.o=.d) $(TEST_OBJ:.o=.d) $(SUPPORT_OBJ:.o=.d) $(B)/src/main.d
