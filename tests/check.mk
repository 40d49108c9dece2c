# What users and CI call: packages, the demo, all checks, the bench.

BUILD_PACKAGES := gcc make pkg-config libc6-dev libcairo2-dev libjansson-dev libiniparser-dev libncurses-dev
TEST_PACKAGES  := libcmocka-dev libgsl-dev libfec-dev libliquid-dev liblapacke-dev tmux clang clang-format \
                  clang-tidy cppcheck valgrind libclang-rt-14-dev mandoc parallel poppler-utils libxml2-utils \
                  bash-completion dpkg-dev file gzip python3 jq

# Installs only what is missing, so a machine that has everything needs neither root nor a network.
.PHONY: packages test-packages
packages:
	@sh tests/support/install-packages $(BUILD_PACKAGES)
test-packages:
	@sh tests/support/install-packages $(BUILD_PACKAGES) $(TEST_PACKAGES)

.PHONY: demo
demo: packages
	@$(MAKE) -s all
	@sh demo/show $(BUILD)/guardspan

# ---- all checks -----------------------------------------------------------------------------
.PHONY: check check-all check-format check-static check-sanitize check-valgrind check-fuzz check-documents
check: test-packages
	@$(MAKE) -s check-all

check-all:
	@$(MAKE) -s WERROR=-Werror all tests
	@$(MAKE) -s check-layers check-format check-documents check-accuracy
	@$(MAKE) -s check-unit
	@$(MAKE) -s check-scripts
	@$(MAKE) -s check-sanitize
	@$(MAKE) -s check-valgrind
	@$(MAKE) -s check-fuzz CHECK_FUZZ_SECONDS=$(CHECK_FUZZ_SECONDS)

FORMATTED := $(filter-out %_table.c src/standard/atsc3/table/%.c,$(sort $(shell find src tests -name '*.[ch]')))
check-format:
	@clang-format --dry-run -Werror $(FORMATTED) && echo "check-format: 1 passed, 0 failed"

# The long static analysis, several minutes: clang-tidy, cppcheck, gcc's analyzer.
ANALYSED     := $(call sources,src tests/proof)
TIDY_FLAGS   := -std=c11 -Isrc -D_XOPEN_SOURCE=700 -DGUARDSPAN_VERSION='"check"' -mavx512f -mavx512bw -mavx512vl \
                -mavx512dq -mavx512vbmi -mfma
.PHONY: check-tidy check-cppcheck check-analyzer
check-static: check-tidy check-cppcheck check-analyzer
check-tidy:
	@printf '%s\n' $(filter src/%,$(ANALYSED)) | xargs -P $$(nproc) -I FILE sh -c 'clang-tidy -quiet --warnings-as-errors="*" "$$@" 2>/dev/null' \
	    tidy FILE -- $(TIDY_FLAGS) $(ENGINE_CFLAGS) && echo "check-tidy: $(words $(filter src/%,$(ANALYSED))) passed, 0 failed"
check-cppcheck:
	@cppcheck --quiet --enable=warning,performance,portability --inline-suppr --std=c11 --error-exitcode=1 -j $$(nproc) \
	    -Isrc src tests/proof && echo "check-cppcheck: 1 passed, 0 failed"
# Any finding is an error; objects go to a folder of their own.
check-analyzer:
	@$(MAKE) -s BUILD=build-analyzer WERROR=-Werror ANALYZER=1 $(patsubst %.c,build-analyzer/%.o,$(ANALYSED)) && \
	    echo "check-analyzer: $(words $(ANALYSED)) passed, 0 failed"

# The hot loops for 64-bit ARM, emulated; not part of check-all.
.PHONY: check-aarch64
check-aarch64: $(BUILD)/libengine.a
	@tests/support/check-aarch64 $(BUILD)

# The same test programs with AddressSanitizer and UndefinedBehaviorSanitizer; those that only repeat
# long simulations stay out, their code is run by the others.
SANITIZE_SKIP := published/test_prediction.c published/test_thresholds_simulated.c property/test_equaliser_properties.c \
                 property/test_report_modes.c property/test_legal_space.c
SANITIZED     := $(patsubst %.c,build-san/%,$(filter-out $(addprefix tests/,$(SANITIZE_SKIP)),$(TEST_SRC)))
check-sanitize:
	@$(MAKE) -s BUILD=build-san SANITIZE=1 WERROR=-Werror all $(SANITIZED)
	@bash tests/support/run-tests build-san $(SANITIZED)

# The program itself under valgrind, on the questions users ask most.
check-valgrind: $(BUILD)/guardspan
	@sh tests/support/run-valgrind $(BUILD)/guardspan

# As many targets at a time as there are processors.
CHECK_FUZZ_SECONDS ?= 60
FUZZ_TARGETS := $(patsubst tests/fuzz/fuzz_%.c,%,$(sort $(wildcard tests/fuzz/fuzz_*.c)))
check-fuzz:
	@mkdir -p build-fuzz
	@printf '%s\n' $(FUZZ_TARGETS) | MAKEFLAGS= xargs -P $$(nproc) -I TARGET sh -c \
	    'tests/fuzz/run-fuzz TARGET $(CHECK_FUZZ_SECONDS) >build-fuzz/TARGET.log 2>&1 && echo "ok    fuzz TARGET" || \
	    { tail -n 40 build-fuzz/TARGET.log; echo "check-fuzz: TARGET failed"; exit 1; }'
	@echo "check-fuzz: $(words $(FUZZ_TARGETS)) passed, 0 failed"

# Every command in the documents is run, and its output compared where a document shows it.
DOCUMENTS := README.md DEVELOPERS.md tests/published/accuracy.md man/guardspan.1 man/guardspan-profile.5
check-documents: $(BUILD)/guardspan
	@tests/support/run-documents $(BUILD)/guardspan $(DOCUMENTS)
	@mandoc -T lint -W warning man/guardspan.1 man/guardspan-profile.5 && echo "man pages: 1 passed, 0 failed"

# The tables of tests/published/accuracy.md are what the tests compared.
.PHONY: accuracy check-accuracy
accuracy: $(TEST_BIN)
	@tests/support/tell-accuracy $(BUILD) tests/published/accuracy.md
check-accuracy: $(TEST_BIN)
	@tests/support/tell-accuracy --check $(BUILD) tests/published/accuracy.md

# Constants changed one at a time in a copy of the tree: each must be noticed by the test named for it.
.PHONY: mutants
mutants:
	@tests/support/run-mutants

.PHONY: bench coverage
bench:
	@$(MAKE) -s $(BENCH_BIN)
	@for program in $(BENCH_BIN); do echo "== $$program"; $$program || exit 1; done

# Long simulations are run by `make check`; the code that they repeat is counted here by shorter ones.
# SHOW="study physics" lists the lines of these layers that were not run.
SHOW         ?=
LONG_RUNS    := published/test_prediction published/test_thresholds_simulated
COVERED      := $(filter-out $(addprefix build-cov/tests/,$(LONG_RUNS)),$(patsubst $(BUILD)/%,build-cov/%,$(TEST_BIN)))
coverage:
	@find build-cov -name '*.gcda' -delete 2>/dev/null; $(MAKE) -s BUILD=build-cov COVERAGE=1 all $(COVERED)
	@bash tests/support/run-tests build-cov $(COVERED)
	@GUARDSPAN=$(abspath build-cov)/guardspan bash tests/support/run-tests build-cov \
	    $(filter-out tests/package/%,$(TEST_SCRIPTS))
	@tests/support/report-coverage build-cov $(SHOW)
