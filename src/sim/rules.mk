# The engine's inner loops: optimised in every build, one version per instruction set, no fused or reordered arithmetic,
# so that all of them give the same bytes.
SIM_KERNEL := -O3 -ffp-contract=off -fno-math-errno -fno-trapping-math
$(B)/src/sim/kernel_plain.o: CFLAGS_ALL += $(SIM_KERNEL)
$(B)/src/sim/kernel_sse2.o: CFLAGS_ALL += $(SIM_KERNEL)
ifneq (,$(findstring x86_64,$(shell $(CC) -dumpmachine)))
$(B)/src/sim/kernel_avx2.o: CFLAGS_ALL += $(SIM_KERNEL) -mavx2
$(B)/src/sim/kernel_avx512.o: CFLAGS_ALL += $(SIM_KERNEL) -mavx512f -mavx512dq -mavx512bw -mavx512vl
endif

# Speed, beside what is installed; by hand, never in a test.
$(B)/tests/bench_%: tests/bench/bench_%.c $(B)/libwetrun.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) $(LDFLAGS_ALL) -o $@ $< $(B)/libwetrun.a $(LIBS)

bench: $(B)/wetrun $(B)/tests/bench_engine $(B)/tests/bench_peer_gsl $(B)/tests/bench_ingest $(B)/tests/bench_sampler $(B)/tests/bench_report $(B)/tests/bench_progress
	@bash tests/bench/run_bench.sh $(B)

# gcc and clang give the same bytes, on any number of threads.
.PHONY: check-same-bytes built-for-same-bytes
built-for-same-bytes: $(B)/wetrun $(B)/tests/bench_engine
check-same-bytes:
	@$(MAKE) --no-print-directory -s CC=gcc built-for-same-bytes
	@$(MAKE) --no-print-directory -s CC=clang built-for-same-bytes
	@sh tests/support/check_same_bytes.sh build build/variant-clang
