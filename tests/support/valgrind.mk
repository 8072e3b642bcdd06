# make valgrind: the commands of the tests at the command line under valgrind, VALGRIND="CASE …" of some cases. Half an hour.
# Left out are those whose commands simulate for minutes as it is, those that limit memory, and those that count time.
VALGRIND ?= usage refusals start check dressed natural readers edited_plan hostile
.PHONY: valgrind
valgrind: $(B)/wetrun
	@sh tests/support/valgrind.sh $(B)/wetrun $(VALGRIND)
