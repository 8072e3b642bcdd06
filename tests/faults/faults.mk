# make faults: one allocation fails, from every call stack of every command (about an hour); FAULTS="--every 80" for a sample.
FAULTS ?=
$(B)/tests/fail_alloc.so: tests/faults/fail_alloc.c
	@mkdir -p $(@D)
	$(CC) -std=c11 -O1 -Wall -Wextra -Werror -shared -fPIC -o $@ $< -ldl

.PHONY: faults
faults: $(B)/wetrun $(B)/tests/fail_alloc.so
	@python3 tests/faults/sweep.py $(B)/wetrun $(B)/tests/fail_alloc.so $(FAULTS)
