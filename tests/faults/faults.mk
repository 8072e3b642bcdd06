# make faults: every command on campaigns on the edge, then, on small ones, one allocation fails, from every call stack of every
# command, then one system call, signals at any moment, two reports at once, a gnuplot that hangs. An hour or so in all. A sample:
# EDGES="--every 97" FAULTS="--every 80" CALLS="--every 97 --times 8".
EDGES ?=
FAULTS ?=
CALLS ?= --full
$(B)/tests/fail_%.so: tests/faults/fail_%.c tests/faults/copies.h
	@mkdir -p $(@D)
	$(CC) -std=c11 -O1 -Wall -Wextra -Werror -shared -fPIC -o $@ $< -ldl

.PHONY: faults
faults: $(B)/wetrun $(B)/tests/fail_alloc.so $(B)/tests/fail_call.so
	@python3 tests/faults/edges.py $(B)/wetrun $(EDGES)
	@python3 tests/faults/sweep.py $(B)/wetrun $(B)/tests/fail_alloc.so $(FAULTS)
	@python3 tests/faults/machine.py $(B)/wetrun $(B)/tests/fail_call.so $(CALLS)
