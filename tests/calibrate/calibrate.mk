# make calibrate: about twenty minutes of CPU time. CALIBRATE="CAMPAIGNS WORLDS" for a shorter look.
CALIBRATE ?=
CALIBRATE_OBJ := $(patsubst %.c,$(B)/%.o,$(wildcard tests/calibrate/*.c)) $(B)/tests/support/sbc.o $(B)/tests/support/prior_world.o $(B)/tests/support/real_days.o

$(B)/calibrate: $(CALIBRATE_OBJ) $(B)/libwetrun.a
	$(CC) $(LDFLAGS_ALL) -o $@ $^ $(LIBS)

calibrate: $(B)/calibrate
	nice -n 10 $(B)/calibrate $$(date +%F) $$(git rev-parse --short=12 HEAD) $(CALIBRATE) > $(B)/calibrate.md
	mv $(B)/calibrate.md tests/calibrate/REPORT.md

-include $(CALIBRATE_OBJ:.o=.d)
