# make coverage: which branches of src/ the tests take, file by file: unit and command-line tests, and a sample of the failing system
# calls. It fails where a file has fewer than LEAST in 100 that were taken or have a reason (coverage.py says how one is given);
# GAPS=ROOM/FILE.c lists what is missed there. Twenty minutes and more; build/coverage keeps the counts: make coverage-report.
COVERAGE := build/coverage
LEAST ?= 95
GAPS ?=
.PHONY: coverage coverage-report
coverage:
	@$(MAKE) --no-print-directory -s B=$(COVERAGE) OPT='-O1 -fno-early-inlining' CFLAGS=--coverage LDFLAGS=--coverage \
	  $(COVERAGE)/tests/run $(COVERAGE)/wetrun $(COVERAGE)/tests/fail_call.so
	@find $(COVERAGE) -name '*.gcda' -delete
	@$(COVERAGE)/tests/run
	@sh tests/cli/run.sh $(COVERAGE)/wetrun
	@python3 tests/faults/machine.py $(COVERAGE)/wetrun $(COVERAGE)/tests/fail_call.so --every 29 --times 4
	@$(MAKE) --no-print-directory -s coverage-report
coverage-report:
	@python3 tests/support/coverage.py $(COVERAGE) $(LEAST) $(GAPS)
