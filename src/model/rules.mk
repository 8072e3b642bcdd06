# The sampler's blocks, and grid points side by side: optimised in every build, no fused or reordered arithmetic, so that every version gives the same bytes.
MODEL_BLOCK := -O3 -ffp-contract=off -fno-math-errno -fno-trapping-math
$(foreach name,grid spread effects centre,$(B)/src/model/$(name)_block.o): CFLAGS_ALL += $(MODEL_BLOCK)
ifneq (,$(findstring x86_64,$(shell $(CC) -dumpmachine)))
$(B)/src/model/grid_block_avx2.o: CFLAGS_ALL += $(MODEL_BLOCK) -mavx2
$(B)/src/model/grid_block_avx512.o: CFLAGS_ALL += $(MODEL_BLOCK) -mavx512f -mavx512vl -mprefer-vector-width=512
endif
