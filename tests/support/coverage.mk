# make coverage: which branches of src/ the tests take, file by file: unit and command-line tests, and a sample of the failing system
# calls. It fails below LEAST in 100 taken or with a reason, and where nothing is said of one that was not taken (coverage.py says how
# that is done). build/coverage keeps the counts: make coverage-report; GAPS=ROOM/FILE.c: what is missed there alone.
# Of the many made campaigns it takes two: a program that counts answers slowly, and the others take the same branches.
# Threads count without waiting for each other: some counts are lost, but none comes back to nought.
COVERAGE := build/coverage
COUNTED := B=$(COVERAGE) OPT='-O1 -fno-early-inlining' CFLAGS='--coverage -fprofile-update=single' LDFLAGS=--coverage
LEAST ?= 95
GAPS ?=
.PHONY: coverage coverage-report
coverage:
	@$(MAKE) --no-print-directory -s -j$$(getconf _NPROCESSORS_ONLN) $(COUNTED) \
	  $(COVERAGE)/tests/run $(COVERAGE)/wetrun $(COVERAGE)/tests/fail_call.so
	@find $(COVERAGE) -name '*.gcda' -delete
	@failed=; export CK_TIMEOUT_MULTIPLIER=20; \
	sh tests/support/unit.sh $(COVERAGE)/tests/run || failed=1; \
	MANY='3 24' sh tests/cli/run.sh $(COVERAGE)/wetrun || failed=1; \
	$(MAKE) --no-print-directory -s $(COUNTED) check-manual || failed=1; \
	python3 tests/faults/machine.py $(COVERAGE)/wetrun $(COVERAGE)/tests/fail_call.so --every 29 --times 4 || failed=1; \
	$(MAKE) --no-print-directory -s coverage-report && [ -z "$$failed" ]
coverage-report:
	@python3 tests/support/coverage.py $(COVERAGE) $(LEAST) $(GAPS)
