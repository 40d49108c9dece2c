# guardspan: see README.md for the two commands a user needs, DEVELOPERS.md for the rest.
#
#   make            builds $(BUILD)/guardspan
#   make demo       installs what is missing, builds, shows the main job on the demo profile
#   make check      installs what tests need, builds, runs every test
#   make check-long sanitizers, valgrind, fuzzing, samples of the long proofs; make prove: the long ones
#   make install    honours PREFIX and DESTDIR
#   make bench      measures; never decides a test

VERSION  := 0.1.0
BUILD    ?= build
PREFIX   ?= /usr/local
DESTDIR  ?=
CC       ?= gcc
SANITIZE ?=
COVERAGE ?=
ANALYZER ?=
FUZZ     ?=
WERROR   ?=

PKG_CONFIG ?= pkg-config
ARCH := $(shell uname -m)

comma    := ,
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Wvla $(WERROR)
HARDEN   := -fstack-protector-strong -D_FORTIFY_SOURCE=2 -fPIE
OPT      := -O2 -g
LDHARDEN := -pie -Wl,-z,relro,-z,now
# Where the sources lie is nobody's business: the same sources give the same bytes anywhere.
HARDEN   += -ffile-prefix-map=$(CURDIR)=.
# A hundred programs are linked with the sanitizers: lines without variables.
ifneq ($(SANITIZE),)
OPT      := -O1 -g1 -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
HARDEN   := -fPIE
endif
# The layers that COVERAGE names are measured (make coverage); an assert is no branch there, nor what the C
# library's headers ask with _FORTIFY_SOURCE.
ifneq ($(COVERAGE),)
$(foreach layer,$(COVERAGE),$(eval $$(BUILD)/src/$(layer)/%.o: OPT := -Og -g --coverage -fprofile-update=atomic -DNDEBUG))
$(foreach layer,$(COVERAGE),$(eval $$(BUILD)/src/$(layer)/%.o: HARDEN := -fPIE))
endif

# For libFuzzer (tests/fuzz/run-fuzz): clang. FUZZ=sweep does not follow each comparison, and is faster
# by it.
ifneq ($(FUZZ),)
OPT      := -O1 -g1 -fsanitize=address,undefined -fno-sanitize-recover=all \
            $(if $(filter sweep,$(FUZZ)),-fsanitize-coverage=inline-8bit-counters$(comma)pc-table,-fsanitize=fuzzer-no-link)
HARDEN   :=
endif

# -O1: what -O2 inlines makes gcc 12 lose track of struct copies.
ifneq ($(ANALYZER),)
# Its leaks are mistaken: what is stored behind a pointer is lost to it. LeakSanitizer and valgrind see them.
OPT      := -O1 -g -fanalyzer -Wno-analyzer-malloc-leak
endif

# What looks at sources needs no loop twice, by vectors or by lengths.
ifneq ($(SANITIZE)$(ANALYZER),)
CPPFLAGS += -DLOOPS_ONCE
endif

CPPFLAGS += -Isrc -D_POSIX_C_SOURCE=200809L -D_XOPEN_SOURCE=700 -DGUARDSPAN_VERSION='"$(VERSION)"'
CFLAGS   += -std=c11 $(OPT) $(HARDEN) $(WARNINGS) -ffp-contract=off -pthread
LDFLAGS  += $(LDHARDEN) $(if $(SANITIZE),-fsanitize=address$(comma)undefined) $(if $(COVERAGE),--coverage) -pthread

# Debian 12's iniparser ships no pkg-config file.
ENGINE_PKGS  := cairo jansson
# Each is asked for when it is first wanted, when the packages are there, and not again for each file.
asked = $(if $(filter undefined recursive,$(flavor $(1))),$(eval $(1) := $(shell $(PKG_CONFIG) $(2))))$($(1))
ENGINE_CFLAGS = $(call asked,ENGINE_CFLAGS,--cflags $(ENGINE_PKGS))
ENGINE_LIBS   = $(call asked,ENGINE_SHARED,--libs $(ENGINE_PKGS)) -liniparser -lm
# Its own -D_XOPEN_SOURCE is older than the one above.
CURSES_CFLAGS = $(call asked,CURSES_INCLUDE,--cflags-only-I ncursesw) -D_DEFAULT_SOURCE
CURSES_LIBS   = $(call asked,CURSES_LIBS,--libs ncursesw)
TEST_LIBS     = -lcmocka -lgsl -lgslcblas -lfec -lliquid -llapacke -llapack

sources = $(sort $(shell find $(1) -name '*.c'))
ENGINE_SRC   := $(call sources,$(addprefix src/,base standard physics scenario profile simulation system study present))
COMMAND_SRC  := $(call sources,src/command)
EXPLORER_SRC := $(call sources,src/explorer)
SUPPORT_SRC  := $(sort $(wildcard tests/support/*.c))
obj = $(patsubst %.c,$(BUILD)/%.o,$(1))

# One program for each test_*.c under tests, with what it uses of tests/support/*.c.
TEST_SRC     := $(sort $(shell find tests -name 'test_*.c'))
TEST_SCRIPTS := $(sort $(shell find tests -name 'test_*.sh'))
TEST_BIN     := $(patsubst %.c,$(BUILD)/%,$(TEST_SRC))
BENCH_SRC    := $(sort $(wildcard tests/bench/bench_*.c))
BENCH_BIN    := $(patsubst %.c,$(BUILD)/%,$(BENCH_SRC))
TOOL_SRC     := $(sort $(wildcard tests/proof/*.c))
TOOL_BIN     := $(patsubst %.c,$(BUILD)/%,$(TOOL_SRC))

.PHONY: all
all: $(BUILD)/guardspan

$(BUILD)/guardspan: $(BUILD)/src/main.o $(BUILD)/libexplorer.a $(BUILD)/libcommand.a $(BUILD)/libengine.a
	$(CC) $(LDFLAGS) -o $@ $^ $(ENGINE_LIBS) $(CURSES_LIBS)

$(BUILD)/libengine.a: $(call obj,$(ENGINE_SRC))
$(BUILD)/libcommand.a: $(call obj,$(COMMAND_SRC))
$(BUILD)/libexplorer.a: $(call obj,$(EXPLORER_SRC))
$(BUILD)/libsupport.a: $(call obj,$(SUPPORT_SRC))
$(BUILD)/%.a:
	@rm -f $@
	$(AR) qcs $@ $^

# Hot loops are compiled for one processor family each and chosen at run time.
ifeq ($(ARCH),x86_64)
$(BUILD)/src/%_avx2.o: CFLAGS += -mavx2 -mfma
$(BUILD)/src/%_avx512.o: CFLAGS += -mavx512f -mavx512bw -mavx512vl -mavx512dq -mavx512vbmi -mfma
endif
# Nobody reads errno or floating-point traps there: saying so lets loops become vector code. The
# arithmetic stays exactly rounded.
HOT := $(BUILD)/src/simulation/%.o $(BUILD)/src/base/fourier.o $(BUILD)/src/physics/vsb/%.o $(BUILD)/src/physics/ofdm/%.o
$(HOT): CFLAGS += -fno-math-errno -fno-trapping-math
ifeq ($(SANITIZE)$(filter base physics simulation,$(COVERAGE))$(ANALYZER)$(FUZZ),)
# Where their variables are no debugger finds after that; lines are kept, at half the cost.
$(HOT): CFLAGS += -O3 -g1
endif
# Readers are fuzzed, not decoders: on a decoder's loops the sanitizers cost clang a minute.
ifneq ($(FUZZ),)
$(BUILD)/src/simulation/%.o: OPT := -O1 -g1
endif
ifneq ($(ANALYZER),)
# gcc 12's analyzer does not follow vectors: it takes a loaded array of them for unset (the demappers,
# equal to each other by test) and a shift of their lanes for one of a two-bit number.
$(BUILD)/src/simulation/ldpc/sum_product_%.o $(BUILD)/src/simulation/ldpc/box_plus_%.o \
$(BUILD)/src/simulation/modem/kernels_%.o $(BUILD)/src/base/many.o \
$(addprefix $(BUILD)/src/physics/ofdm/,gain_gather.o gain_nodes.o phasors.o): CFLAGS += \
    -Wno-analyzer-use-of-uninitialized-value -Wno-analyzer-shift-count-overflow
endif
$(BUILD)/src/present/%.o $(BUILD)/src/profile/%.o $(BUILD)/src/command/%.o: CPPFLAGS += $(ENGINE_CFLAGS)
$(BUILD)/src/explorer/%.o: CPPFLAGS += $(CURSES_CFLAGS) $(ENGINE_CFLAGS)
$(BUILD)/tests/%.o: CPPFLAGS += -Itests $(ENGINE_CFLAGS)
# There are many test programs, and few are hot: compiled and linked in a third of the time.
# Their lines stay in the objects (STRIPPED= links them): nine tenths of what would be written otherwise.
# A library of which a program uses nothing is not loaded: most of what starting it costs.
STRIPPED ?= -Wl,--strip-debug
TEST_LDFLAGS := $(if $(shell command -v ld.gold),-fuse-ld=gold) -Wl,--as-needed $(STRIPPED) \
                $(if $(SANITIZE),-Wl$(comma)-u$(comma)__lsan_default_suppressions)
HOT_TESTS := physics/information/test_information physics/ofdm/test_carriers property/test_late_clusters \
             simulation/ldpc/test_reference
ifeq ($(SANITIZE)$(ANALYZER)$(FUZZ),)
$(BUILD)/tests/%.o: OPT = -O0 -g1
$(BUILD)/tests/%.o: HARDEN += -U_FORTIFY_SOURCE
$(BUILD)/tests/bench/%.o $(BUILD)/tests/proof/%.o $(HOT_TESTS:%=$(BUILD)/tests/%.o): OPT = -O2 -g
endif

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(CPPFLAGS) $(CFLAGS) -MMD -MP -c -o $@ $<

# Tests of the command line link without ncurses: the layering is proved by the linker.
$(BUILD)/tests/explorer/%: $(BUILD)/tests/explorer/%.o $(BUILD)/libsupport.a $(BUILD)/libexplorer.a $(BUILD)/libcommand.a $(BUILD)/libengine.a
	$(CC) $(LDFLAGS) $(TEST_LDFLAGS) -o $@ $^ $(ENGINE_LIBS) $(CURSES_LIBS) $(TEST_LIBS)
$(BUILD)/tests/%: $(BUILD)/tests/%.o $(BUILD)/libsupport.a $(BUILD)/libcommand.a $(BUILD)/libengine.a
	$(CC) $(LDFLAGS) $(TEST_LDFLAGS) -o $@ $^ $(ENGINE_LIBS) $(TEST_LIBS)
$(BUILD)/tests/bench/bench_%: $(BUILD)/tests/bench/bench_%.o $(BUILD)/libexplorer.a $(BUILD)/libcommand.a $(BUILD)/libengine.a
	$(CC) $(LDFLAGS) -o $@ $^ $(ENGINE_LIBS) $(CURSES_LIBS)
$(BUILD)/tests/proof/%: $(BUILD)/tests/proof/%.o $(BUILD)/libengine.a
	$(CC) $(LDFLAGS) -o $@ $^ $(ENGINE_LIBS)
# All fuzzing targets in one program; with FUZZ=1 only.
FUZZ_SRC := $(sort $(wildcard tests/fuzz/fuzz*.c))
$(BUILD)/tests/fuzz/fuzz: $(call obj,$(FUZZ_SRC)) $(BUILD)/libcommand.a $(BUILD)/libengine.a
	$(CC) -fsanitize=fuzzer,address,undefined -pthread -o $@ $^ $(ENGINE_LIBS)
.PRECIOUS: $(BUILD)/%.o

.PHONY: tests tools
tests: $(TEST_BIN)
tools: $(TOOL_BIN)

# Generated and committed tables are only remade on demand.
.PHONY: information thresholds
information: $(BUILD)/tests/proof/information
	$< >$(BUILD)/information_table.c
	mv $(BUILD)/information_table.c src/physics/information/information_table.c
	$< --uniform >$(BUILD)/uniform_table.c
	mv $(BUILD)/uniform_table.c src/physics/information/uniform_table.c
	$< --rotated >$(BUILD)/rotated_table.c
	mv $(BUILD)/rotated_table.c src/physics/information/rotated/rotated_table.c

# Resumes where an earlier sweep ended; hours on two processors, minutes on many. The static program
# runs on machines without the project's libraries.
thresholds: $(BUILD)/tests/proof/thresholds
	touch $(BUILD)/thresholds.txt
	$< --have $(BUILD)/thresholds.txt >$(BUILD)/thresholds.new; cat $(BUILD)/thresholds.new >>$(BUILD)/thresholds.txt
	$< --table $(BUILD)/thresholds.txt >$(BUILD)/threshold_table.c
	mv $(BUILD)/threshold_table.c src/physics/information/threshold_table.c
$(BUILD)/%-static: $(BUILD)/tests/proof/%.o $(BUILD)/libengine.a
	$(CC) -static -pthread -o $@ $^ -lm

# What OFDM needs in many channels, two hours of one processor; the prediction by mean information
# is tested against the table that this makes.
PREDICTED := tu6 laboratory-a laboratory-b laboratory-c laboratory-d laboratory-e hill pre room two-transmitters
PREDICTED := $(PREDICTED:%=profiles/echo-%.ini) $(patsubst %,profiles/%.ini,indoor-high-vhf low-vhf mobile \
    portable-indoor rooftop-high-rate shared-channel-lighthouse shared-tower)
# Ensembles of the literature: phases drawn, or given with them.
FIXED     := $(sort $(wildcard tests/proof/channels/en300744-*.ini))
ENSEMBLES := $(filter-out $(FIXED),$(sort $(wildcard tests/proof/channels/*.ini)))
.PHONY: prediction
prediction: $(BUILD)/tests/proof/prediction
	{ sed -n '/^# What OFDM/,/^# at the/p' tests/proof/prediction-table.txt; \
	  for mode in 4 3 2 1 0; do for profile in $(PREDICTED) $(ENSEMBLES); do echo 3 $$mode $$profile; done; \
	      for profile in $(FIXED); do echo 0 $$mode $$profile; done; done | \
	      xargs -P $$(nproc) -L 1 $< 150 | sort -t'|' -k3,3 -k1,1; } >$(BUILD)/prediction-table.txt
	mv $(BUILD)/prediction-table.txt tests/proof/prediction-table.txt

# What the simulated 8-VSB receiver does in many channels, for hours; the models of its
# decisions and of its learning are tested against the table that this makes. (parallel is one of the tests' packages.)
# A room each processor, in the order of their numbers, as many as there are.
EACH_ROOM = seq 0 $(2) | parallel -k $(BUILD)/tests/proof/decisions $(1) {} {}
.PHONY: receiver
receiver: $(BUILD)/tests/proof/decisions $(BUILD)/tests/proof/learning
	{ sed -n '/^# What/,/^# channel/p' tests/proof/receiver-table.txt; \
	  $(call EACH_ROOM,named,199); $(call EACH_ROOM,random,217); \
	  for profile in $(ENSEMBLES); do $(BUILD)/tests/proof/decisions air $$profile 3; done; \
	  for profile in $(FIXED); do $(BUILD)/tests/proof/decisions air $$profile 0; done; echo '#'; \
	  sed -n '/^# learns/,/^# the rays/p' tests/proof/receiver-table.txt; \
	  $(call EACH_ROOM,learning,99); echo '#'; \
	  grep '^# learning' tests/proof/receiver-table.txt; \
	  $(BUILD)/tests/proof/learning; } >$(BUILD)/receiver-table.txt
	mv $(BUILD)/receiver-table.txt tests/proof/receiver-table.txt

# What wrong decisions cost in rooms simulated by symbols, four and a half hours of one processor, and the numbers of
# src/physics/vsb/survivors.c that are made from this and the whole receiver's tables (python3-scipy).
.PHONY: survivors survivors-fit
survivors: $(BUILD)/tests/proof/survivors
	{ grep '^#' tests/proof/survivors-table.txt; seq 0 4299 | xargs -P $$(nproc) -I N $< N N | sort -n; } \
	    >$(BUILD)/survivors-table.txt
	mv $(BUILD)/survivors-table.txt tests/proof/survivors-table.txt
survivors-fit: $(BUILD)/tests/proof/survivors
	$< looks | tests/proof/fit-survivors

# Both generations in rooms drawn by seeds, for hours.
.PHONY: fresh
fresh: $(BUILD)/tests/proof/decisions $(BUILD)/tests/proof/learning $(BUILD)/tests/proof/prediction
	{ sed -n '/^# What/,/^# (tests/p' tests/proof/fresh-table.txt; \
	  $(call EACH_ROOM,fresh,47); $(call EACH_ROOM,later,47); $(call EACH_ROOM,wide,95); $(call EACH_ROOM,last,191); \
	  sed -n '/^# learning/,/^# | rays/p' tests/proof/fresh-table.txt; $(BUILD)/tests/proof/learning fresh; \
	  sed -n '/^# fresh/,/^# (tests/p' tests/proof/fresh-table.txt; \
	  $(BUILD)/tests/proof/prediction 150 fresh 0 47; } >$(BUILD)/fresh-table.txt
	mv $(BUILD)/fresh-table.txt tests/proof/fresh-table.txt

# Receivers that learn in rooms drawn by another seed, for hours; what wrong
# decisions teach is fitted to the first half of the table that this makes, and tested against the other.
.PHONY: learner
learner: $(BUILD)/tests/proof/decisions
	{ grep '^#' tests/proof/learner-table.txt; $(call EACH_ROOM,learners,191); } >$(BUILD)/learner-table.txt
	mv $(BUILD)/learner-table.txt tests/proof/learner-table.txt

# Both layers simulated in some pairs of codes, three minutes of one processor; what layers need by
# their closed forms is tested against the table that this makes.
.PHONY: layers
layers: $(BUILD)/tests/proof/layers
	{ grep '^#' tests/proof/layers-table.txt; $<; } >$(BUILD)/layers-table.txt
	mv $(BUILD)/layers-table.txt tests/proof/layers-table.txt

# Words that the min-sum decoder gets wrong far above its threshold, and how many of them BCH corrects, half an
# hour of one processor; that there is no floor is told by the table that this makes.
FLOORS := 9:-0.9:300000 10:-0.1:300000 11:0.7:300000 12:1.6:300000 13:2.6:1000000
.PHONY: floor
floor: $(BUILD)/tests/proof/ldpc_fer
	{ grep '^#' tests/proof/floor-table.txt; \
	  printf '64800 %s min-sum %s %s\n' $(subst :, ,$(FLOORS)) | while read -r length rate decoder snr_db words; do \
	    $< $$length $$rate $$decoder $$snr_db $$words $$words 50 31 || exit 1; done; } >$(BUILD)/floor-table.txt
	mv $(BUILD)/floor-table.txt tests/proof/floor-table.txt

# DVB-T's streams in four channels, ten minutes of two processors: needed SNRs are read off this table.
.PHONY: dvbt rotation
dvbt: $(BUILD)/tests/proof/dvb_thresholds
	{ grep '^#' tests/proof/dvbt-table.txt; $< t; $< hierarchy; } >$(BUILD)/dvbt-table.txt
	mv $(BUILD)/dvbt-table.txt tests/proof/dvbt-table.txt

# Rotated constellations of DVB-T2 and others where carriers fade or are lost, ten minutes of two
# processors; mean information is tested against the table that this makes.
rotation: $(BUILD)/tests/proof/rotation
	{ grep '^#' tests/proof/rotation-table.txt; $<; } >$(BUILD)/rotation-table.txt
	mv $(BUILD)/rotation-table.txt tests/proof/rotation-table.txt

# At which positions of some rooms both generations decode, ten minutes of sixteen processors; the
# predicted shares are tested against the table that this makes.
.PHONY: outage
outage: $(BUILD)/tests/proof/outage
	{ grep '^#' tests/proof/outage-table.txt; \
	  for kind in first second; do \
	    seq 0 127 | xargs -P $$(nproc) -I N $< $$kind N N | sort -t'|' -k1,1; done; } >$(BUILD)/outage-table.txt
	mv $(BUILD)/outage-table.txt tests/proof/outage-table.txt

# The same of receivers that move, eight minutes of sixteen processors.
.PHONY: motion
motion: $(BUILD)/tests/proof/motion
	{ grep '^#' tests/proof/motion-table.txt; \
	  seq 0 127 | xargs -P $$(nproc) -I N $< N N | sort -t'|' -k1,1V; } >$(BUILD)/motion-table.txt
	mv $(BUILD)/motion-table.txt tests/proof/motion-table.txt

include tests/check.mk src/package/install.mk

.PHONY: clean
clean:
	rm -rf $(BUILD)

-include $(shell find $(BUILD) -name '*.d' -type f 2>/dev/null)
