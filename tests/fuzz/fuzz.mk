# Fuzzers of the readers and of the whole way from log to decisions, always built by clang with its fuzzing library; they share
# FUZZ_SECONDS. What breaks one is left in $(FUZZ)/. FUZZ_SAN= leaves the sanitizers out: several times as many inputs.
FUZZ_SECONDS ?= 20
FUZZ_CC ?= clang
FUZZ_SAN ?= address,undefined
FUZZ_JOBS ?= $(FUZZERS)
FUZZ := build/fuzz$(if $(FUZZ_SAN),,-fast)
FUZZERS := $(patsubst tests/fuzz/fuzz_%.c,%,$(sort $(wildcard tests/fuzz/fuzz_*.c)))
FUZZ_FLAGS := -std=c11 -D_GNU_SOURCE -gline-tables-only -O1 -Wall -Wextra -Werror -Wno-psabi -Iinclude -ffp-contract=off -fno-math-errno -pthread \
  -DWR_VERSION='"$(VERSION)"' $(if $(FUZZ_SAN),-fno-sanitize-recover=all,)
FUZZ_WITH := $(if $(FUZZ_SAN),$(comma)$(FUZZ_SAN),)
FUZZ_OBJ := $(patsubst src/%.c,$(FUZZ)/%.o,$(LIB_SRC)) $(FUZZ)/present/plot_scripts.o $(FUZZ)/present/page_files.o
$(FUZZ)/sim/kernel_avx2.o: FUZZ_FLAGS += -mavx2
$(FUZZ)/sim/kernel_avx512.o: FUZZ_FLAGS += -mavx512f -mavx512dq -mavx512bw -mavx512vl
$(FUZZ)/present/%.o $(FUZZ)/cmd/%.o: FUZZ_FLAGS += -O0 # hardly computes
$(FUZZ)/%.o: src/%.c
	@mkdir -p $(@D)
	$(FUZZ_CC) $(FUZZ_FLAGS) -fsanitize=fuzzer-no-link$(FUZZ_WITH) -MMD -MP -c -o $@ $<
$(FUZZ)/present/%.o: build/src/present/%.c
	@mkdir -p $(@D)
	$(FUZZ_CC) $(FUZZ_FLAGS) -Isrc/present -c -o $@ $<
$(FUZZ)/libfuzzed.a: $(FUZZ_OBJ)
	rm -f $@
	ar rcs $@ $^
$(FUZZ)/fuzz_%: tests/fuzz/fuzz_%.c $(FUZZ)/libfuzzed.a
	$(FUZZ_CC) $(FUZZ_FLAGS) -fsanitize=fuzzer$(FUZZ_WITH) -o $@ $^ $(LIBS)
.PHONY: fuzzers
fuzzers: $(FUZZERS:%=$(FUZZ)/fuzz_%)
fuzz: fuzzers
	@for name in $(FUZZ_JOBS); do mkdir -p $(FUZZ)/corpus/$$name; \
	  $(FUZZ)/fuzz_$$name -max_total_time=$$(($(FUZZ_SECONDS) / $(words $(FUZZ_JOBS)))) -max_len=4096 -timeout=20 -rss_limit_mb=2048 \
	    -artifact_prefix=$(FUZZ)/broke-$$name- -print_final_stats=1 $(FUZZ)/corpus/$$name tests/fuzz/corpus/$$name \
	    >$(FUZZ)/$$name.log 2>&1 || { tail -n 60 $(FUZZ)/$$name.log; exit 1; }; \
	  echo "fuzz $$name: $$(sed -n 's/^stat::number_of_executed_units: *//p' $(FUZZ)/$$name.log) inputs, nothing broke"; done
-include $(FUZZ_OBJ:.o=.d)
# The saved days of the day's page are read in the browser: their fuzzer is a script.
.PHONY: fuzz-saved
fuzz: fuzz-saved
fuzz-saved:
	@if command -v node >/dev/null; then node tests/day/fuzz_saved.js $$(($(FUZZ_SECONDS) / 10 + 1)); else echo "saved days: skipped, no node here"; fi
