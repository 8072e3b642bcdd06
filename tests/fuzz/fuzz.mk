# Fuzzers of the readers and of the whole way from log to decisions, always built by clang with its fuzzing library, as a variant
# of the program; they share FUZZ_SECONDS. What breaks one is left in $(FUZZ)/. FUZZ_SAN= leaves the sanitizers out: several times
# as many inputs. (Tests run 1.4 to 3.6 times as long on these objects as on gcc's, so they have their own.)
FUZZ_SECONDS ?= 20
FUZZ_CC ?= clang
FUZZ_SAN ?= address,undefined
FUZZ_JOBS ?= $(FUZZERS)
FUZZERS := $(patsubst tests/fuzz/fuzz_%.c,%,$(sort $(wildcard tests/fuzz/fuzz_*.c)))
FUZZED := CC=$(FUZZ_CC) SANITIZE=fuzzer-no-link$(if $(FUZZ_SAN),$(comma)$(FUZZ_SAN))
FUZZ := build/variant-$(notdir $(FUZZ_CC))-fuzzer-no-link$(if $(FUZZ_SAN),-$(subst $(comma),-,$(FUZZ_SAN)))/fuzz
$(FUZZ)/fuzz_%: $(B)/tests/fuzz/fuzz_%.o $(B)/libwetrun.a
	@mkdir -p $(@D)
	$(CC) -pthread $(subst fuzzer-no-link,fuzzer,-fsanitize=$(SANITIZE)) -o $@ $^ $(LIBS)
.PHONY: fuzzers fuzzers-linked
fuzzers-linked: $(FUZZERS:%=$(FUZZ)/fuzz_%)
fuzzers:
	@$(MAKE) --no-print-directory -s $(FUZZED) fuzzers-linked
$(B)/tests/fuzz/%.o: CFLAGS_ALL += -Wno-missing-prototypes # what the fuzzing library calls is declared nowhere
-include $(FUZZERS:%=$(B)/tests/fuzz/fuzz_%.d)
fuzz: fuzzers
	@for name in $(FUZZ_JOBS); do mkdir -p $(FUZZ)/corpus/$$name; \
	  $(FUZZ)/fuzz_$$name -max_total_time=$$(($(FUZZ_SECONDS) / $(words $(FUZZ_JOBS)))) -max_len=4096 -timeout=20 -rss_limit_mb=2048 \
	    -artifact_prefix=$(FUZZ)/broke-$$name- -print_final_stats=1 $(FUZZ)/corpus/$$name tests/fuzz/corpus/$$name \
	    >$(FUZZ)/$$name.log 2>&1 || { tail -n 60 $(FUZZ)/$$name.log; exit 1; }; \
	  echo "fuzz $$name: $$(sed -n 's/^stat::number_of_executed_units: *//p' $(FUZZ)/$$name.log) inputs, nothing broke"; done
# The saved days of the day's page are read in the browser: their fuzzer is a script.
.PHONY: fuzz-saved
fuzz: fuzz-saved
fuzz-saved:
	@if command -v node >/dev/null; then node tests/day/fuzz_saved.js $$(($(FUZZ_SECONDS) / 10 + 1)); else echo "saved days: skipped, no node here"; fi
