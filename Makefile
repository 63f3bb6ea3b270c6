# sweptline. `make help` lists the targets.
.DEFAULT_GOAL := all
SHELL := /bin/sh

VERSION := $(shell sed -n 's/.*SWL_VERSION "\(.*\)".*/\1/p' include/sweptline/version.h)
SOVERSION := 0

# Everything a bare Debian 12 with make wants, in the packages' own names. docs: README.md, DEVELOPERS.md.
DEPS_BUILD := gcc libc6-dev pkg-config libplplot-dev plplot-driver-cairo libcairo2-dev libpng-dev zlib1g-dev \
    libgsl-dev libjansson-dev libmicrohttpd-dev nettle-dev fonts-dejavu-core
DEPS_CHECK := locales libcmocka-dev poppler-utils libxml2-utils python3 python3-jsonschema python3-scipy python3-fluids python3-iapws \
    python3-pint python3-pil gnuplot-nox mandoc chromium chromium-driver python3-selenium
DEPS_DEB := debhelper dpkg-dev lintian debootstrap
DEPS_LINT := clang clang-format clang-tidy cppcheck valgrind
DEPS_FUZZ := clang libclang-rt-14-dev llvm afl++ time

PREFIX ?= /usr/local
LIBDIR ?= $(PREFIX)/lib
DATADIR ?= $(PREFIX)/share/sweptline
DOCDIR ?= $(PREFIX)/share/doc/sweptline
ZSHDIR ?= $(PREFIX)/share/zsh/site-functions
DESTDIR ?=
BUILD ?= build
ifeq ($(origin CC),default)
CC := gcc
endif
CFLAGS ?= -O2 -g
WARN := -Wall -Wextra -Wshadow -Wconversion -Wdouble-promotion -Wstrict-prototypes -Wmissing-prototypes -Wcast-qual \
    -Wwrite-strings -Wundef -Wvla -Wformat=2
WERROR := $(if $(CI),-Werror)

# Where the processor's older unit would compute with more digits than a double has, results would depend on the compiler.
ifneq ($(filter i386-% i486-% i586-% i686-%,$(shell $(CC) -dumpmachine 2>/dev/null))$(filter -m32,$(CFLAGS) $(CC)),)
ARCH := -msse2 -mfpmath=sse
endif

PKGS := cairo plplot gsl jansson libpng nettle
PKG_CFLAGS := $(shell pkg-config --cflags $(PKGS) 2>/dev/null)
PKG_LIBS := $(shell pkg-config --libs $(PKGS) 2>/dev/null) -pthread
ALL_CFLAGS = -std=c11 -D_GNU_SOURCE -fPIC $(ARCH) $(CPPFLAGS) $(CFLAGS) $(WARN) $(WERROR) -Iinclude -Isrc $(PKG_CFLAGS) -MMD -MP

LIB_SRC := $(sort $(filter-out $(wildcard src/cli/*.c),$(wildcard src/*/*.c)))
CLI_SRC := $(sort $(wildcard src/cli/*.c))
UNIT_SRC := $(sort $(wildcard tests/unit/*.c))
LIB_OBJ := $(LIB_SRC:%.c=$(BUILD)/%.o)
CLI_OBJ := $(CLI_SRC:%.c=$(BUILD)/%.o)
UNIT_BIN := $(UNIT_SRC:tests/unit/%.c=$(BUILD)/tests/%)

STATIC := $(BUILD)/libsweptline.a
SHARED := $(BUILD)/libsweptline.so.$(SOVERSION)
PROGRAM := $(BUILD)/sweptline

.PHONY: all
all: $(PROGRAM) $(STATIC) $(SHARED) $(BUILD)/man/sweptline.1 ## build the program, the libraries and the man pages

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -c $< -o $@

$(STATIC): $(LIB_OBJ)
	rm -f $@
	$(AR) rcs $@ $^

$(SHARED): $(LIB_OBJ)
	$(CC) $(CFLAGS) $(LDFLAGS) -shared -Wl,-soname,$(notdir $@) $^ -o $@ $(PKG_LIBS) -lm
	ln -sf $(notdir $@) $(BUILD)/libsweptline.so

# The page of serve is of the program alone, and so is the library it is served by, which is loaded when it is wanted.
$(BUILD)/src/cli/serve_http.o $(BUILD)/src/cli/serve_mhd.o: ALL_CFLAGS += $(shell pkg-config --cflags libmicrohttpd 2>/dev/null)
$(BUILD)/src/cli/serve_page.o: $(wildcard src/cli/page/*)

$(PROGRAM): $(CLI_OBJ) $(STATIC)
	$(CC) $(CFLAGS) $(LDFLAGS) $^ -o $@ $(PKG_LIBS) -lm

# One for the program and one for each command, all of the texts of the help.
$(BUILD)/man/sweptline.1: $(PROGRAM)
	@rm -rf $(@D) && mkdir -p $(@D)
	@for page in $$($(PROGRAM) man pages); do \
	    $(PROGRAM) man $$page >$(@D)/$$page.1 || { rm -f $@; exit 1; }; \
	done
	@touch $@

-include $(LIB_OBJ:.o=.d) $(CLI_OBJ:.o=.d) $(UNIT_BIN:=.d)

# ---- packages ----------------------------------------------------------------------------------------------

# Installs what is missing and says what. $(1) is a list of packages.
define install_missing
	@missing=""; \
	for p in $(1); do dpkg-query -W -f='$${Status}' $$p 2>/dev/null | grep -q 'ok installed' || missing="$$missing $$p"; done; \
	if [ -n "$$missing" ]; then \
	    echo "installing:$$missing"; \
	    sudo=""; if [ "$$(id -u)" != 0 ]; then sudo=sudo; fi; \
	    $$sudo apt-get update -qq && \
	    $$sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $$missing >$(BUILD)/apt.log 2>&1 || \
	    { cat $(BUILD)/apt.log; exit 1; }; \
	fi
endef

.PHONY: deps deps-check deps-lint deps-fuzz
deps: ## install what building wants (Debian packages)
	@mkdir -p $(BUILD)
	$(call install_missing,$(DEPS_BUILD))
deps-check: deps ## and what the tests want
	$(call install_missing,$(DEPS_CHECK))
deps-lint: deps-check ## and what the analysis wants
	$(call install_missing,$(DEPS_LINT))
deps-fuzz: deps-check ## what fuzzing wants
	$(call install_missing,$(DEPS_FUZZ))

# ---- using it ----------------------------------------------------------------------------------------------

.PHONY: demo
demo: deps ## install what is missing, build, and run the invented demo: tables here, charts in plots/
	@$(MAKE) --no-print-directory all
	@sh tests/support/demo.sh $(PROGRAM)

# UPDATE=1 puts those that differ in structure into plots/, UPDATE=all every one; each adds to the history for good.
.PHONY: plots check-plots
plots: deps-check ## draw the gallery anew and hold plots/ against it (UPDATE=1 takes over what differs)
	@$(MAKE) --no-print-directory all
	@/usr/bin/python3 tests/support/plots.py $(PROGRAM) $(BUILD)/plots $(if $(UPDATE),$(if $(filter all,$(UPDATE)),--update-all,--update))

check-plots: all
	@/usr/bin/python3 tests/support/plots.py $(PROGRAM) $(BUILD)/plots

.PHONY: docs
docs: all $(BUILD)/tests/published/runner ## bring the documents' examples up to date
	@sh tests/published/accuracy.sh $(PUBLISHED) --update
	@sh tests/support/docs.sh $(abspath $(PROGRAM)) --update

.PHONY: maps
maps: $(BUILD)/generate $(BUILD)/scan ## compute the invented map tables anew
	$(BUILD)/generate roots > maps/roots-185.csv
	$(BUILD)/generate screw > maps/screw-120.csv
	$(BUILD)/scan maps/roots-185.ini > maps/roots-185-scan.png
	$(BUILD)/generate run maps/estate-roots.ini > maps/estate-roots-run.csv

$(BUILD)/generate: maps/generate.c $(STATIC)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $< $(STATIC) -o $@ $(PKG_LIBS) -lm

$(BUILD)/scan: maps/scan.c $(STATIC)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $< $(STATIC) -o $@ $(PKG_LIBS) -lm

# ---- tests -------------------------------------------------------------------------------------------------

$(BUILD)/tests/%: tests/unit/%.c $(STATIC)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -Itests $< $(filter %.o,$^) $(STATIC) -o $@ $(shell pkg-config --cflags --libs cmocka 2>/dev/null) $(PKG_LIBS) -lm

# What is of the program alone.
$(BUILD)/tests/test_serve_guard: $(BUILD)/src/cli/serve_guard.o

.PHONY: check
check: deps-check ## install what is missing, build, run every test and the layering check
	@$(MAKE) --no-print-directory check-built
	@$(MAKE) --no-print-directory check-plots

.PHONY: check-built unit
export EXTRA_CFLAGS
check-built: all unit $(BUILD)/generate
	@sh tests/support/rooms.sh
	@sh tests/support/run.sh $(BUILD)
	@$(MAKE) --no-print-directory reference check-published check-pictures check-trace check-properties check-some-faults check-fuzz

unit: $(UNIT_BIN)
	@for t in $(UNIT_BIN); do $$t || exit 1; done

FULL_SRC := $(sort $(wildcard tests/reference/full*.c))
FULL_OBJ := $(FULL_SRC:%.c=$(BUILD)/%.o)
FULL := $(BUILD)/tests/reference/full

$(FULL_OBJ): ALL_CFLAGS += -Itests $(shell pkg-config --cflags cmocka 2>/dev/null)
$(FULL): $(FULL_OBJ) $(STATIC)
	$(CC) $(CFLAGS) $^ -o $@ $(shell pkg-config --libs cmocka 2>/dev/null) $(PKG_LIBS) -lm
-include $(FULL_OBJ:.o=.d)

.PHONY: reference
reference: all $(FULL) ## hold match and belt against other solutions: the unreduced equations, and models in Python
	@$(FULL) >$(BUILD)/full.log 2>&1 || { cat $(BUILD)/full.log; exit 1; }
	@tail -1 $(BUILD)/full.log
	@/usr/bin/python3 tests/reference/match.py $(PROGRAM) >$(BUILD)/reference.log 2>&1 || { cat $(BUILD)/reference.log; exit 1; }
	@tail -2 $(BUILD)/reference.log
	@/usr/bin/python3 tests/reference/soak.py $(PROGRAM) >$(BUILD)/soak.log 2>&1 || { cat $(BUILD)/soak.log; exit 1; }
	@tail -1 $(BUILD)/soak.log
	@/usr/bin/python3 tests/reference/belt.py $(PROGRAM) >$(BUILD)/belt.log 2>&1 || { cat $(BUILD)/belt.log; exit 1; }
	@tail -2 $(BUILD)/belt.log

PROPERTY_SRC := $(sort $(wildcard tests/property/*.c))
PROPERTY_OBJ := $(PROPERTY_SRC:%.c=$(BUILD)/%.o)
PROPERTY := $(BUILD)/tests/property/property

$(PROPERTY_OBJ): ALL_CFLAGS += -Itests $(shell pkg-config --cflags cmocka 2>/dev/null)
$(PROPERTY): $(PROPERTY_OBJ) $(STATIC)
	$(CC) $(CFLAGS) $^ -o $@ $(shell pkg-config --libs cmocka 2>/dev/null) $(PKG_LIBS) -lm
-include $(PROPERTY_OBJ:.o=.d)

.PHONY: check-properties
check-properties: $(PROGRAM) $(PROPERTY) ## balances, monotone answers and agreeing outputs of 10,000 random builds
	@$(PROPERTY) --count $(if $(EXTRA_CFLAGS),500,10000)
	@/usr/bin/python3 tests/property/outputs.py $(PROGRAM) $(PROPERTY)

SHIM := $(BUILD)/tests/fault/shim.so
$(SHIM): tests/fault/shim.c
	@mkdir -p $(@D)
	$(CC) -std=c11 -O1 -g $(WARN) $(WERROR) -fPIC -shared $< -o $@ -ldl

.PHONY: check-faults check-some-faults
check-faults: deps-check all $(SHIM) ## every call that writes or takes memory fails in turn, in every command (an hour)
	@/usr/bin/python3 tests/fault/faults.py $(PROGRAM) $(SHIM) --whole

# A sanitizer has calls of its own in the place of those that the shim takes; what counts lines takes memory at the end
# of a run and does not look whether it got any.
check-some-faults: $(PROGRAM) $(SHIM)
	@$(if $(EXTRA_CFLAGS),echo "faults: left out under a sanitizer and where lines are counted",/usr/bin/python3 tests/fault/faults.py $(PROGRAM) $(SHIM))

.PHONY: check-pictures
check-pictures: $(BUILD)/tests/scan/dump ## read every kind of PNG and hold its pixels against those it was made of
	@rm -rf $(BUILD)/tests/kinds && mkdir -p $(BUILD)/tests/kinds
	@/usr/bin/python3 tests/scan/kinds.py $(BUILD)/tests/scan/dump $(BUILD)/tests/kinds

$(BUILD)/tests/scan/dump: tests/scan/dump.c $(STATIC)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $< $(STATIC) -o $@ $(PKG_LIBS) -lm

PUBLISHED := $(BUILD)/tests/published/runner
PUBLISHED_SRC := $(sort $(wildcard tests/published/*.c))
PUBLISHED_TXT := $(sort $(wildcard tests/published/*.txt))
$(PUBLISHED): $(PUBLISHED_SRC) $(wildcard tests/published/*.h) $(STATIC)
	@mkdir -p $(@D)
	$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) $(PUBLISHED_SRC) $(STATIC) -o $@ $(PKG_LIBS) -lm

.PHONY: published check-published
published: all $(PUBLISHED) ## hold the formulas against published values and print the table
	@$(PUBLISHED) $(PUBLISHED_TXT)

check-published: $(PUBLISHED)
	@$(PUBLISHED) $(PUBLISHED_TXT) >$(BUILD)/published.log 2>&1 || { cat $(BUILD)/published.log; exit 1; }
	@tail -1 $(BUILD)/published.log
	@sh tests/published/selftest.sh $(PUBLISHED)
	@sh tests/published/accuracy.sh $(PUBLISHED)
	@/usr/bin/python3 tests/published/libraries.py

# ---- fuzzing -----------------------------------------------------------------------------------------------

# One target of tests/fuzz each. TIME: seconds for each; TARGETS: which.
FUZZ := build unit map log png calibration trace check
TARGETS ?= $(FUZZ)
TIME ?= 60
SANITIZE := -fsanitize=address,undefined -fno-sanitize-recover=undefined
FUZZ_SRC := tests/fuzz/fuzz.c $(FUZZ_MAIN)
FUZZ_BIN := $(FUZZ:%=$(BUILD)/fuzz/%)
READERS := $(BUILD)/libreaders.a

# Nothing is drawn by a target.
$(READERS): $(filter-out $(BUILD)/src/draw/%,$(LIB_OBJ))
	@rm -f $@
	$(AR) rcs $@ $^

$(BUILD)/fuzz/%: tests/fuzz/%.c $(FUZZ_SRC) tests/fuzz/fuzz.h $(READERS)
	@mkdir -p $(@D)
	$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) $(FUZZ_FLAGS) $< $(FUZZ_SRC) $(READERS) -o $@ $(PKG_LIBS) -lz -lm

.PHONY: fuzzers check-fuzz fuzz fuzz-afl fuzz-coverage fuzz-corpus fuzz-dictionary
fuzzers: $(FUZZ_BIN)

check-fuzz: ## run the fuzzers' corpus and past findings under the address and undefined-behaviour sanitizers
	@/usr/bin/python3 tests/fuzz/dictionary.py
	@$(MAKE) -s --no-print-directory BUILD=build/replay FUZZ_MAIN=tests/fuzz/replay.c CFLAGS="-O0 -g1 $(SANITIZE)" fuzzers
	@sh tests/fuzz/replay.sh build/replay/fuzz $(FUZZ)

fuzz: deps-fuzz ## fuzz every target for TIME seconds with libFuzzer (TIME=60, TARGETS="map log")
	@$(MAKE) -s --no-print-directory BUILD=build/libfuzzer CC=clang WARN= FUZZ_FLAGS="-DFUZZ_MUTATOR -fsanitize=fuzzer" \
	    CFLAGS="-O1 -g -fsanitize=fuzzer-no-link $(SANITIZE) -fno-omit-frame-pointer" fuzzers
	@sh tests/fuzz/libfuzzer.sh build/libfuzzer $(TIME) $(TARGETS)

fuzz-afl: deps-fuzz ## the same with AFL++
	@AFL_QUIET=1 $(MAKE) -s --no-print-directory BUILD=build/afl CC=afl-clang-fast WARN= FUZZ_FLAGS="-fsanitize=fuzzer" \
	    CFLAGS="-O1 -g $(SANITIZE) -fno-omit-frame-pointer" fuzzers
	@sh tests/fuzz/afl.sh build/afl $(TIME) $(TARGETS)

fuzz-coverage: deps-fuzz ## which lines of src each target's corpus reaches, with what build/libfuzzer has found besides
	@$(MAKE) -s --no-print-directory BUILD=build/fuzzcov CC=clang WARN= FUZZ_MAIN=tests/fuzz/replay.c \
	    CFLAGS="-O0 -g -fprofile-instr-generate -fcoverage-mapping" fuzzers
	@sh tests/fuzz/coverage.sh build/fuzzcov $(TARGETS)

fuzz-corpus: deps-fuzz ## put what build/libfuzzer has found into the corpus, the fewest inputs that reach as much
	@sh tests/fuzz/corpus.sh build/libfuzzer $(TARGETS)

fuzz-dictionary: ## make the fuzzers' dictionary anew out of the readers' tables
	@/usr/bin/python3 tests/fuzz/dictionary.py --update

.PHONY: check-asan
check-asan: deps-check ## the same under the address and undefined-behaviour sanitizers
	@LSAN_OPTIONS=suppressions=$(CURDIR)/tests/support/lsan.supp:print_suppressions=0 \
	    $(MAKE) --no-print-directory BUILD=build/asan EXTRA_CFLAGS="-fsanitize=address,undefined" CFLAGS="-O1 -g -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer" check-built

.PHONY: check-valgrind
check-valgrind: deps-lint ## every unit test and every whole-program run under valgrind; takes half an hour
	@$(MAKE) --no-print-directory BUILD=build/valgrind CFLAGS="-O1 -g" all unit
	@sh tests/support/valgrind.sh build/valgrind

.PHONY: coverage
coverage: deps-check ## line coverage of src over the whole suite
	@rm -rf build/cov
	@$(MAKE) --no-print-directory BUILD=build/cov EXTRA_CFLAGS=--coverage CFLAGS="-O0 -g --coverage" check-built >build/coverage.log 2>&1 || { tail -30 build/coverage.log; exit 1; }
	@sh tests/support/coverage.sh build/cov

.PHONY: trace-accuracy
trace-accuracy: deps-check all ## draw charts of known maps, trace them back, print the table of errors and keep it in docs/accuracy.md
	@/usr/bin/python3 tests/trace/accuracy.py $(PROGRAM) --update docs/accuracy.md

.PHONY: check-trace
check-trace: all ## the same for a few of the charts, held against the table that is kept
	@/usr/bin/python3 tests/trace/accuracy.py $(PROGRAM) --hold docs/accuracy.md >$(BUILD)/trace.log 2>&1 || { cat $(BUILD)/trace.log; exit 1; }
	@tail -1 $(BUILD)/trace.log

BENCH := $(addprefix $(BUILD)/tests-bench/,points spread png flat floor launch record.so)
.PHONY: bench bench-docs bench-flat
bench: deps-check all $(BENCH) ## time points, commands, charts against a floor, reading and tracing; table and JSON
	@/usr/bin/python3 tests/bench/run.py $(BUILD)
	@/usr/bin/python3 tests/bench/serve.py $(PROGRAM)
bench-docs: deps-check all $(BENCH) ## the same, and write docs/performance.md
	@/usr/bin/python3 tests/bench/run.py $(BUILD) --update
bench-flat: all $(BUILD)/tests-bench/flat ## a million checks in one process: the memory stays flat
	@$(BUILD)/tests-bench/flat maps/estate-roots.ini 1000000

$(BUILD)/tests-bench/record.so: tests/bench/record.c tests/bench/ops.h
	@mkdir -p $(@D)
	$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) -shared $< -o $@ $(PKG_LIBS)

$(BUILD)/tests-bench/%: tests/bench/%.c tests/bench/clock.h tests/bench/ops.h $(STATIC)
	@mkdir -p $(@D)
	$(CC) $(filter-out -MMD -MP,$(ALL_CFLAGS)) -Itests/bench $< $(STATIC) -o $@ $(PKG_LIBS) -lm

.PHONY: lint format
lint: deps-lint ## layering, formatting, cppcheck, clang-tidy, gcc -fanalyzer and clang warnings
	@sh tests/support/rooms.sh
	@sh tests/support/lint.sh

format: deps-lint ## put the sources into the house format
	clang-format -i $(LIB_SRC) $(CLI_SRC) $(UNIT_SRC) $(wildcard include/sweptline/*.h src/*/*.h tests/*/*.h tests/bench/*.c tests/published/*.[ch] tests/scan/*.c tests/fuzz/*.[ch] tests/property/*.[ch] tests/fault/*.c tests/reference/*.[ch] maps/*.c)

# ---- installing --------------------------------------------------------------------------------------------

.PHONY: install
install: all ## install program, libraries, headers, pkg-config file, man pages, manual and completions (DESTDIR= PREFIX=)
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(LIBDIR)/pkgconfig $(DESTDIR)$(PREFIX)/include/sweptline \
	    $(DESTDIR)$(PREFIX)/share/man/man1 $(DESTDIR)$(DATADIR) $(DESTDIR)$(DOCDIR)/schema \
	    $(DESTDIR)$(PREFIX)/share/bash-completion/completions $(DESTDIR)$(ZSHDIR)
	install -m 755 $(PROGRAM) $(DESTDIR)$(PREFIX)/bin/sweptline
	install -m 644 $(STATIC) $(DESTDIR)$(LIBDIR)/
	install -m 644 $(SHARED) $(DESTDIR)$(LIBDIR)/
	ln -sf $(notdir $(SHARED)) $(DESTDIR)$(LIBDIR)/libsweptline.so
	install -m 644 include/sweptline/*.h $(DESTDIR)$(PREFIX)/include/sweptline/
	install -m 644 $(BUILD)/man/*.1 $(DESTDIR)$(PREFIX)/share/man/man1/
	$(PROGRAM) completion bash > $(DESTDIR)$(PREFIX)/share/bash-completion/completions/sweptline
	$(PROGRAM) completion zsh > $(DESTDIR)$(ZSHDIR)/_sweptline
	install -m 644 maps/*.ini maps/*.csv maps/*.png maps/README.md $(DESTDIR)$(DATADIR)/
	install -m 644 docs/*.md $(DESTDIR)$(DOCDIR)/
	install -m 644 docs/schema/*.json $(DESTDIR)$(DOCDIR)/schema/
	sed -e 's|@PREFIX@|$(PREFIX)|; s|@LIBDIR@|$(patsubst $(PREFIX)/%,$${prefix}/%,$(LIBDIR))|; s|@VERSION@|$(VERSION)|' docs/sweptline.pc.in > $(DESTDIR)$(LIBDIR)/pkgconfig/sweptline.pc

# A copy of the source with the packaging where the tools look for it, so that nothing is left in this one.
DEB_TREE = $(BUILD)/deb/sweptline-$(VERSION)
.PHONY: deb check-deb check-deb-root
deb: deps ## make Debian packages in build/deb: sweptline, libsweptline0, libsweptline-dev
	$(call install_missing,$(DEPS_DEB))
	@rm -rf $(BUILD)/deb && mkdir -p $(DEB_TREE)
	@cp -r Makefile README.md LICENSE src include maps docs $(DEB_TREE)/
	@cp -r .debian $(DEB_TREE)/debian
	@printf 'sweptline (%s) unstable; urgency=medium\n\n  * This version.\n\n -- %s  %s\n' $(VERSION) \
	    "$$(sed -n 's/^Maintainer: //p' .debian/control)" \
	    "$$(LC_ALL=C date -u -R -d "$$(sed -n 's/.*SWL_VERSION_DATE "\(.*\)".*/\1/p' include/sweptline/version.h)")" \
	    >$(DEB_TREE)/debian/changelog
	@cd $(DEB_TREE) && env -u MAKEFLAGS -u MAKELEVEL -u MFLAGS -u CI -u EXTRA_CFLAGS DEB_BUILD_OPTIONS=noautodbgsym dpkg-buildpackage -b -us -uc >../build.log 2>&1 || \
	    { tail -30 ../build.log; exit 1; }
	@ls $(BUILD)/deb/*.deb

check-deb: deb ## and hold their contents and dependencies, with lintian
	@sh tests/support/deb.sh $(BUILD)/deb

check-deb-root: check-deb ## and install them on a bare Debian in /tmp (root), run the example and draw a chart there
	@sh tests/support/deb-root.sh $(BUILD)/deb

.PHONY: clean
clean: ## remove what was built
	rm -rf build

.PHONY: help
help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/\1|\2/p; s/^\([a-z-]*\) [a-z-]*:.*## \(.*\)/\1|\2/p' Makefile | awk -F'|' '{printf "  %-16s %s\n", $$1, $$2}'
