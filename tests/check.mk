# What users and CI call: packages, the demo, all checks, the bench.

BUILD_PACKAGES := gcc make pkg-config libc6-dev libcairo2-dev libjansson-dev libiniparser-dev libncurses-dev
TEST_PACKAGES  := libcmocka-dev libgsl-dev libfec-dev libliquid-dev liblapacke-dev tmux clang clang-format \
                  clang-tidy cppcheck valgrind libclang-rt-14-dev mandoc parallel poppler-utils libxml2-utils \
                  bash-completion zsh fish lintian groff-base dpkg-dev file gzip python3 jq tesseract-ocr fonts-dejavu-core

SLURM_PACKAGES := slurmctld slurmd slurm-client munge

# Installs only what is missing, so a machine that has everything needs neither root nor a network.
.PHONY: packages test-packages slurm-packages
packages:
	@sh tests/support/install-packages $(BUILD_PACKAGES)
test-packages:
	@sh tests/support/install-packages $(BUILD_PACKAGES) $(TEST_PACKAGES)
slurm-packages:
	@sh tests/support/install-packages $(BUILD_PACKAGES) $(TEST_PACKAGES) $(SLURM_PACKAGES)

.PHONY: demo
demo: packages
	@$(MAKE) -s -j$$(nproc) all
	@sh demo/show $(BUILD)/guardspan

# ---- all checks -----------------------------------------------------------------------------
# What a change must pass: five minutes at most on two processors. Every check says how much passed, and
# the last line adds them up.
.PHONY: check check-tests check-unit check-scripts
check: test-packages
	@tests/support/run-checks check-tests check-accuracy

# Checks of the tree, scripts and programs side by side.
TREE_CHECKS := check-documents check-format check-layers check-mutants check-names check-shape
check-tests:
	@$(MAKE) -s -j$$(nproc) WERROR=-Werror all tests
	@$(RUN_TESTS) check-tests $(BUILD) $(TREE_CHECKS) $(TEST_SCRIPTS) $(TEST_BIN)

# Scripts (command line, terminal) get the built program in GUARDSPAN. What the accuracy page tells is
# recorded.
ACCURACY  := tests/published/accuracy.md
# Those that take longest, the longest first (four seconds and more, and waiting ones): they begin.
FIRST     := check-slurm check-tidy check-cppcheck check-analyzer check-package command/test_read.sh check-format \
             simulation/vsb/receiver/test_receiver study/page/test_page property/test_place \
             study/verdict/test_metamorphic command/test_completion.sh check-documents command/test_weigh.sh \
             command/test_signals.sh simulation/modem/test_modem study/weigh/test_weigh terminal/test_signals.sh \
             package/test_install.sh fuzz/test_corpus simulation/chain/test_threshold_table explorer/test_lesson \
             check-valgrind command/test_draw published/test_prediction explorer/test_sizes \
             property/test_profile_round_trip profile/test_shipped explorer/test_cuts \
             physics/information/test_information explorer/test_screens simulation/ldpc/test_decoder \
             study/weigh/test_moves present/picture/test_pictures explorer/echo/test_view explorer/weigh/test_view \
             explorer/divide/test_view physics/vsb/test_adaptation explorer/test_find property/test_report_modes \
             study/proof/test_identity terminal/test_explorer.sh command/simulate/test_memory.sh \
             command/simulate/test_parts.sh terminal/test_simulate.sh study/proof/test_no_memory \
             published/test_outage study/verdict/test_verdict study/weigh/test_no_memory study/divide/test_divide \
             published/test_thresholds_simulated simulation/vsb/receiver/test_table explorer/read/test_view \
             explorer/desk/test_files
export FIRST
RUN_TESTS  = GUARDSPAN=$(abspath $(BUILD))/guardspan RECORD="$$(tests/support/tell-accuracy --programs $(ACCURACY))" \
             tests/support/run-tests
check-unit: $(BUILD)/guardspan $(TEST_BIN)
	@$(RUN_TESTS) check-unit $(BUILD) $(TEST_BIN)
check-scripts: $(BUILD)/guardspan
	@$(RUN_TESTS) check-scripts $(BUILD) $(TEST_SCRIPTS)

# What finds rarer faults: a quarter of an hour together with `make check`.
.PHONY: check-long check-sanitize check-deep check-fuzz
check-long: test-packages
	@tests/support/run-checks check-sanitize check-deep check-fuzz

# The same test programs with AddressSanitizer and UndefinedBehaviorSanitizer; those that only repeat
# long simulations, or that take longest, stay out: their code is run by the others. Of those that take
# long a sixth is run, another one after each commit.
SANITIZE_SKIP := published/test_prediction.c published/test_thresholds_simulated.c property/test_equaliser_properties.c \
                 property/test_report_modes.c property/test_legal_space.c property/test_isotropic.c \
                 present/picture/test_pictures.c explorer/echo/test_view.c study/verdict/test_metamorphic.c \
                 simulation/vsb/receiver/test_receiver.c study/place/test_place.c study/place/test_line.c \
                 property/test_on_the_way.c
SANITIZE_TURN := study/verdict/test_verdict.c command/test_draw.c command/test_echo.c physics/vsb/test_echo.c \
                 command/simulate/test_simulate.c explorer/prove/test_view.c property/test_place.c study/weigh/test_weigh.c \
                 physics/information/test_information.c explorer/desk/test_verdict.c simulation/chain/test_threshold_table.c \
                 explorer/test_lesson.c study/page/test_page.c profile/test_shipped.c command/test_report.c \
                 study/divide/test_divide.c fuzz/test_corpus.c explorer/test_find.c explorer/test_cuts.c \
                 explorer/test_sizes.c study/proof/test_proof.c explorer/divide/test_view.c physics/ofdm/test_echo.c \
                 published/test_dvb.c study/verdict/test_positions.c study/place/test_no_memory.c simulation/vsb/receiver/test_table.c
COMMITS       := $(shell git rev-list --count HEAD 2>/dev/null || echo 0)
# Of the words every N-th: $(call in_turn,WORDS,N)
in_turn        = $(shell printf '%s\n' $(1) | awk -v commits=$(COMMITS) 'NR % $(2) == commits % $(2)')
UNSANITIZED   := $(SANITIZE_SKIP) $(filter-out $(call in_turn,$(SANITIZE_TURN),6),$(SANITIZE_TURN))
SANITIZED     := $(patsubst %.c,build-san/%,$(filter-out $(addprefix tests/,$(UNSANITIZED)),$(TEST_SRC)))
check-sanitize:
	@$(MAKE) -s -j$$(nproc) BUILD=build-san SANITIZE=1 WERROR=-Werror $(SANITIZED)
	@tests/support/run-tests check-sanitize build-san $(SANITIZED)

# Tests that can do more of the same (tests/support/effort.h) do more; valgrind; a real Slurm; a part of
# the static analysis, another one after each commit.
EXTENSIBLE := $(patsubst %.c,$(BUILD)/%,$(shell grep -l 'support/effort\.h' $(TEST_SRC)))
PARTS      := 12
check-deep:
	@$(MAKE) -s -j$$(nproc) WERROR=-Werror all $(EXTENSIBLE)
	@EFFORT=more PART=$$(($(COMMITS) % $(PARTS)))/$(PARTS) tests/support/run-tests \
	    check-deep $(BUILD) check-tidy check-analyzer check-slurm check-package check-cppcheck check-valgrind $(EXTENSIBLE)

# As many targets at a time as there are processors.
CHECK_FUZZ_SECONDS ?= 15
FUZZ_TARGETS := $(patsubst tests/fuzz/fuzz_%.c,check-fuzz-%,$(sort $(wildcard tests/fuzz/fuzz_*.c)))
check-fuzz:
	@JOBS=$$(nproc) tests/support/run-tests check-fuzz $(BUILD) $(FUZZ_TARGETS)
check-fuzz-%:
	@tests/fuzz/run-fuzz $* $(CHECK_FUZZ_SECONDS)

# Long sweeps, by hand on a machine with many processors: all that the tests can repeat, the
# mean-information prediction against simulation, the simulated 8-VSB receiver's tables, layers.
.PHONY: prove
prove: $(EXTENSIBLE) prediction receiver survivors fresh learner outage motion layers dvbt rotation floor
	@EFFORT=all tests/support/run-tests prove $(BUILD) $(EXTENSIBLE)

# ---- one by one -----------------------------------------------------------------------------
.PHONY: check-layers check-names check-shape check-format check-documents
check-layers check-names check-shape:
	@tests/support/$@

FORMATTED := $(filter-out %_table.c src/standard/atsc3/table/%.c src/standard/dvbt2/table/%.c src/study/page/table/%.c,$(sort $(shell find src tests -name '*.[ch]')))
check-format:
	@clang-format --dry-run -Werror $(FORMATTED) && echo "check-format: $(words $(FORMATTED)) passed, 0 failed"

# Every command in the documents is run, and its output compared where a document shows it.
DOCUMENTS := README.md DEVELOPERS.md $(ACCURACY) man/guardspan.1 man/guardspan-profile.5 man/guardspan-cluster.7
check-documents: $(BUILD)/guardspan
	@tests/support/run-documents $(BUILD)/guardspan $(DOCUMENTS)

# The tables of tests/published/accuracy.md are what the tests compared, when they were run last.
.PHONY: accuracy check-accuracy
accuracy: $(TEST_BIN)
	@tests/support/tell-accuracy $(BUILD) $(ACCURACY)
check-accuracy: $(TEST_BIN)
	@tests/support/tell-accuracy --check $(BUILD) $(ACCURACY)

# Static analysis: clang-tidy, cppcheck, gcc's analyzer; several minutes. PART=I/N looks at every N-th
# file from the I-th on.
PART       ?= 0/1
TIDIED      = $(call sources,src)
ANALYSED    = $(call sources,src tests/proof)
in_part     = $(shell printf '%s\n' $(1) | awk -v part=$(PART) 'BEGIN {split(part, of, "/")} NR % of[2] == of[1]')
TIDY_FLAGS := -std=c11 -Isrc -D_XOPEN_SOURCE=700 -DGUARDSPAN_VERSION='"check"' -mavx512f -mavx512bw -mavx512vl \
              -mavx512dq -mavx512vbmi -mfma
.PHONY: check-static check-tidy check-cppcheck check-analyzer
check-static: check-tidy check-cppcheck check-analyzer
check-tidy:
	@printf '%s\n' $(call in_part,$(TIDIED)) | xargs -P $$(nproc) -I FILE clang-tidy -quiet --warnings-as-errors='*' FILE \
	    -- $(TIDY_FLAGS) $(ENGINE_CFLAGS) 2>/dev/null && echo "check-tidy: $(words $(call in_part,$(TIDIED))) passed, 0 failed"
check-cppcheck:
	@cppcheck --quiet --enable=warning,performance,portability --inline-suppr --std=c11 --error-exitcode=1 -j $$(nproc) \
	    -Isrc $(call in_part,$(ANALYSED)) && echo "check-cppcheck: $(words $(call in_part,$(ANALYSED))) passed, 0 failed"
# Any finding is an error; objects go to a folder of their own.
check-analyzer:
	@$(MAKE) -s BUILD=build-analyzer WERROR=-Werror ANALYZER=1 $(patsubst %.c,build-analyzer/%.o,$(call in_part,$(ANALYSED))) && \
	    echo "check-analyzer: $(words $(call in_part,$(ANALYSED))) passed, 0 failed"

# The program itself under valgrind, on the questions users ask most.
.PHONY: check-valgrind
check-valgrind: $(BUILD)/guardspan
	@sh tests/support/run-valgrind $(BUILD)/guardspan

# The Debian package, made several times and looked at.
.PHONY: check-package
check-package: $(BUILD)/guardspan
	@GUARDSPAN=$(abspath $(BUILD))/guardspan tests/package/run-package

# The job file for clusters, on a Slurm of one node that is started for it.
.PHONY: check-slurm
check-slurm: slurm-packages $(BUILD)/guardspan
	@GUARDSPAN=$(abspath $(BUILD))/guardspan tests/support/run-slurm

# The hot loops for 64-bit ARM, emulated; not part of the checks above.
.PHONY: check-aarch64
check-aarch64: $(BUILD)/libengine.a
	@tests/support/check-aarch64 $(BUILD)

# Constants changed one at a time in a copy of the tree: each must be noticed by the test named for it.
.PHONY: mutants check-mutants
mutants:
	@tests/support/run-mutants
check-mutants:
	@tests/support/run-mutants --rows

# The package built twice from the beginning, in two folders: the same bytes. By hand: minutes.
.PHONY: check-reproducible
check-reproducible:
	@tests/package/build-twice

.PHONY: bench coverage
bench:
	@$(MAKE) -s $(BENCH_BIN)
	@for program in $(BENCH_BIN); do echo "== $$program"; $$program || exit 1; done

# Which ways no test takes stands with its reason in tests/support/untested.txt; the report fails where that
# is not what was measured. KEEP=--keep writes the list anew: look at the change, and give each new way a test
# or a reason.
MEASURED     ?= standard scenario profile study
KEEP         ?=
COVERED      := $(patsubst $(BUILD)/%,build-cov/%,$(TEST_BIN))
coverage:
	@[ "$$(cat build-cov/measured 2>/dev/null)" = "$(MEASURED)" ] || rm -rf build-cov
	@mkdir -p build-cov && echo "$(MEASURED)" >build-cov/measured && find build-cov -name '*.gcda' -delete
	@$(MAKE) -s -j$$(nproc) BUILD=build-cov COVERAGE="$(MEASURED)" all $(COVERED)
	@GUARDSPAN=$(abspath build-cov)/guardspan tests/support/run-tests coverage build-cov \
	    $(filter-out tests/package/%,$(TEST_SCRIPTS)) $(COVERED)
	@tests/support/report-coverage $(KEEP) build-cov $(MEASURED)
