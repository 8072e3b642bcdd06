# make coverage: which lines and branches of src/ the unit and command-line tests reach, by room; GAPS=ROOM/FILE.c lists what they miss there.
# (Ten minutes and more; build/coverage keeps the counts: make coverage-report shows them again.)
COVERAGE := build/coverage
GAPS ?=
.PHONY: coverage coverage-report
coverage:
	@$(MAKE) --no-print-directory -s B=$(COVERAGE) OPT=-O1 CFLAGS=--coverage LDFLAGS=--coverage $(COVERAGE)/tests/run $(COVERAGE)/wetrun
	@find $(COVERAGE) -name '*.gcda' -delete
	@$(COVERAGE)/tests/run
	@sh tests/cli/run.sh $(COVERAGE)/wetrun
	@$(MAKE) --no-print-directory -s coverage-report
coverage-report:
	@python3 tests/support/coverage.py $(COVERAGE) $(GAPS)
