# The chart scripts of plots/ become part of the library, so that the installed program needs no files beside it.
# Which they are says the table of charts: one that is not there is an error of the build, not of who draws.
PLOT_SCRIPTS := $(patsubst %,plots/%.gp,prelude forget to_svg to_png to_pdf \
  $(shell sed -n 's/^ *ROW.WR_CHART_[A-Z_]*, "\([a-z]*\)",.*/\1/p' include/wetrun/present/chart.h))
plots/%.gp:
	@echo '$@ is missing: include/wetrun/present/chart.h has a chart that it draws' >&2; exit 1
STRAY_SCRIPTS := $(filter-out $(PLOT_SCRIPTS),$(wildcard plots/*.gp))
ifneq ($(STRAY_SCRIPTS),)
$(error no chart of include/wetrun/present/chart.h is drawn by $(STRAY_SCRIPTS))
endif
LIB_OBJ += $(B)/src/present/plot_scripts.o

$(B)/src/present/plot_scripts.c: src/present/embed.awk $(PLOT_SCRIPTS)
	@mkdir -p $(@D)
	awk -v table=plot_scripts -f $^ > $@.part
	mv $@.part $@

$(B)/src/present/plot_scripts.o: $(B)/src/present/plot_scripts.c
	$(CC) $(CFLAGS_ALL) -Isrc/present -c -o $@ $<

# Every chart of invented campaigns, for the eye and for the layout check (tests/charts).
$(B)/tests/draw_cases: $(B)/tests/charts/draw_cases.o $(B)/tests/support/chart_case.o $(B)/libwetrun.a
	$(CC) $(LDFLAGS_ALL) -o $@ $^ $(LIBS)
-include $(B)/tests/charts/draw_cases.d

# Draws them all, parses the SVGs, and lays them out in a browser where one is installed.
.PHONY: check-charts
check-charts: $(B)/tests/draw_cases
	@mkdir -p $(B)/charts
	$(B)/tests/draw_cases $(B)/charts
	@if command -v xmllint >/dev/null; then xmllint --noout $(B)/charts/*.svg && echo "charts: every SVG is well-formed"; \
	 else echo "charts: no xmllint here, well-formedness not checked"; fi
	@sh tests/charts/check_layout.sh $(B)/charts

# The report's page and the day's page in a browser, where one is installed; screenshots to PICTURES if that is a folder.
# BROWSER=day,report: some of the checks that tests/browser/run.sh names, which may go beside others.
.PHONY: check-browser
check-browser: $(B)/wetrun
	@sh tests/browser/run.sh $(B)/wetrun $(B)/browser$(BROWSER:%=/%) $(subst $(comma), ,$(BROWSER))

# One picture of each chart of the demonstration, beside the scripts that draw them, and what they say in words, by which
# tests/cli/cases/pictures.sh tells that they are of today. One is about a series of campaigns.
PLOTS = $(shell $(B)/wetrun chart --help | sed -n '/^Charts/,/^$$/s/^  \([a-z]*\) .*/\1/p')
plots: $(B)/wetrun
	@for chart in $(PLOTS); do \
	  of=datasets/petrel-$$([ $$chart = series ] && echo series || echo 7); \
	  for out in plots/$$chart.png $(B)/plots/$$chart.svg; do mkdir -p $(B)/plots; \
	    $(B)/wetrun chart $$chart $$of --quiet --out $$out 2>$(B)/plots/said || { cat $(B)/plots/said; exit 1; }; done; \
	  echo plots/$$chart.png; done
	@sh tests/support/chart_words.sh $(B)/plots >plots/words.txt
