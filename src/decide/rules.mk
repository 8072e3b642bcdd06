# The walks behind cut-offs: optimised in every build as the kernel is that they call (sim/rules.mk).
$(foreach name,abreast given_start known_starts start_roots,$(B)/src/decide/$(name).o): CFLAGS_ALL += -O3 -fno-trapping-math
