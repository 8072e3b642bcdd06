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

bench: $(B)/wetrun $(B)/tests/bench_engine $(B)/tests/bench_peer_gsl $(B)/tests/bench_ingest
	@bash tests/bench/run_bench.sh $(B)

# gcc and clang give the same bytes.
.PHONY: check-same-bytes
check-same-bytes:
	@for cc in gcc clang; do \
	  command -v $$cc >/dev/null || { echo "same bytes: no $$cc here, not compared"; exit 0; }; \
	  $(MAKE) --no-print-directory -s CC=$$cc bench-engine-of; done; \
	build/tests/bench_engine exact datasets/reference-40/plan.csv 50000 1 >build/exact-gcc && \
	build/variant-clang/tests/bench_engine exact datasets/reference-40/plan.csv 50000 2 >build/exact-clang && \
	cmp build/exact-gcc build/exact-clang && echo "same bytes: gcc and clang agree, on one thread and on two"
.PHONY: bench-engine-of
bench-engine-of: $(B)/tests/bench_engine
