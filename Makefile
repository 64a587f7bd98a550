# tackhold: does a thin plate on tape and glue stay put under the cut?
#
#   make            build/tackhold, the library static and shared, the manual page (installs nothing)
#   make page       build/tackhold.html, the same core in one file for a browser
#   make demo       install what is missing, build, run the main job on an example
#   make test       install what the tests need, run all of them
#   make sanitize   the tests under the address and undefined-behaviour sanitizers
#   make torture    what goes wrong around it: no memory, full disks, signals, odd names (10 minutes;
#                   TORTURE=full refuses every single request for memory, an hour)
#   make coverage   line coverage of the core
#   make mutants    changes the model at MUTANTS places, one at a time: do the tests notice? (an hour)
#   make static     gcc's analyser, clang-tidy and cppcheck over every source (minutes; make test has it too)
#   make counts     record anew how many instructions a few runs take; make test compares with the record
#   make test-reference  solve the reference solids again (minutes), compare with the record
#   make bench      times of `check`, `limits` and `odds`; force model and plate against others (minutes)
#   make fuzz       fuzz the readers of jobs, tables, outlines, pull tests, programs and the log, FUZZ_SECONDS each
#   make install    program, library, headers, tables: PREFIX=/usr/local LIBDIR=PREFIX/lib DESTDIR=
#   make uninstall  takes away what install put there (same PREFIX, LIBDIR, DESTDIR)
#   make dist       build/tackhold-VERSION.tar.gz, which builds and tests on its own
#   make deb        three Debian packages in build/deb
#   make test-banded   the unit tests on a library without CHOLMOD and BLAS
#   make test-32       the same as 32-bit programs (adds the architecture i386 to this machine)
#   make reproducible  builds all twice in two folders, compares the bytes (minutes)
#   make symbols    the list of exported names, brought up to date with the headers
#
# SOLVER=banded, with any of them, leaves out CHOLMOD, BLAS and OpenMP: all of the answers, but slower.

PREFIX ?= /usr/local
BUILD ?= build
CC ?= gcc
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
CFLAGS ?= -O2 -g
VERSION := $(shell sed -n 's/^\#define TH_VERSION "\(.*\)"/\1/p' include/tackhold/base.h)
# Raised when programs built against the last release would no longer run: see "Releases" in DEVELOPERS.md.
SOVERSION := 0
LIBDIR ?= $(PREFIX)/lib
DATADIR := $(PREFIX)/share/tackhold
MANDIR := $(PREFIX)/share/man/man1
COMPLETIONDIR := $(PREFIX)/share/bash-completion/completions

# The layers, in the order in which data runs. A layer includes only those before it; files comes
# last before cli because nothing but cli includes it. tests/layers.sh holds the code to this.
LAYERS := base quantity tables cutting plate bond heat advice program report files cli page
CORE := base quantity tables cutting plate bond heat advice program report

# The plate's equations: CHOLMOD, or solvers of our own alone.
SOLVER ?= cholmod
ifeq ($(SOLVER),cholmod)
solver_libraries := -lcholmod -lopenblas -lgomp
SOLVER_PACKAGES := libsuitesparse-dev libopenblas-pthread-dev
else ifeq ($(SOLVER),banded)
solver_flags := -DTH_SOLVER_BANDED
cholmod_files := src/bond/solve_cholmod.c src/bond/solve_fronts.c tests/unit/test_solver_memory.c
else
$(error SOLVER is cholmod or banded, not $(SOLVER))
endif

BUILD_PACKAGES := gcc libc6-dev make libiniparser-dev libexpat1-dev $(SOLVER_PACKAGES)
DEB_PACKAGES := $(BUILD_PACKAGES) dpkg-dev
FUZZ_PACKAGES := $(BUILD_PACKAGES) clang-14 libclang-rt-14-dev
PAGE_PACKAGES := make clang-14 lld-14 wasi-libc libclang-rt-14-dev-wasm32 python3-minimal python3
# To drive the page; a node that is there already will do.
PAGE_TEST_PACKAGES := chromium tidy $(if $(shell command -v node),,nodejs) $(if $(shell command -v npm),,npm)
STATIC_PACKAGES := $(BUILD_PACKAGES) libsuitesparse-dev libopenblas-pthread-dev clang-tidy-14 cppcheck
TEST_PACKAGES := $(FUZZ_PACKAGES) $(STATIC_PACKAGES) libcmocka-dev python3-minimal python3 python3-html5lib \
    valgrind groff-base mandoc shellcheck locales g++ pkgconf $(DEB_PACKAGES)
TEST_32_PACKAGES := make gcc-multilib locales libcmocka-dev:i386 libiniparser-dev:i386 libexpat1-dev:i386
REFERENCE_PACKAGES := calculix-ccx python3 python3-numpy
BENCH_PACKAGES := $(BUILD_PACKAGES) $(REFERENCE_PACKAGES) python3-scipy

# No object tells where it was built.
path_map := -ffile-prefix-map=$(CURDIR)=.
compile = $(CC) -std=c11 $(WARNINGS) $(CFLAGS) $(path_map) $(solver_flags) -Iinclude -MMD -MP
library_sources := $(filter-out $(cholmod_files), \
    $(foreach layer,$(filter-out cli page,$(LAYERS)),$(wildcard src/$(layer)/*.c)))
cli_sources := $(wildcard src/cli/*.c)
library_objects := $(library_sources:%.c=$(BUILD)/%.o)
cli_objects := $(cli_sources:%.c=$(BUILD)/%.o)
unit_tests := $(patsubst tests/unit/%.c,$(BUILD)/tests/%, \
    $(filter-out $(cholmod_files),$(wildcard tests/unit/test_*.c)))
test_support := $(patsubst tests/%.c,$(BUILD)/tests/%.o,$(wildcard tests/support/*.c))
# Only what is used is loaded at start: the sparse solver costs milliseconds.
private_libraries := -liniparser -lexpat $(solver_libraries) -lm
libraries := -Wl,--as-needed $(private_libraries)
shared := libtackhold.so.$(VERSION)

# The page: the core, and of files what reads text in memory, as WebAssembly. The browser parses XML.
PAGE_CC := clang-14 --target=wasm32-wasi
PAGE_SOURCES := $(filter-out src/bond/solve_cholmod.c src/bond/solve_fronts.c, \
    $(foreach layer,$(CORE) page,$(wildcard src/$(layer)/*.c))) \
    $(addprefix src/files/,ini_scan.c job_scan.c scan.c dxf_pairs.c job_outlines.c outline_dxf.c \
    outline_scan.c outline_svg.c svg_path.c svg_text.c)
page_compile = $(PAGE_CC) -std=c11 $(WARNINGS) -O2 -msimd128 -mbulk-memory -DTH_SOLVER_BANDED -Iinclude -Isrc/page/expat -MMD -MP
page_objects := $(PAGE_SOURCES:%.c=$(BUILD)/page/%.o)
page_exports := new free take give_back table file ask answer answer_size

FUZZ_SECONDS ?= 60
# What the readers of files stand on, built a second time: by the compiler that fuzzes, sanitized.
FUZZ_LAYERS := base quantity tables plate files
FUZZ_CC := clang-14
fuzz_compile = $(FUZZ_CC) -std=c11 -O1 -g -fno-omit-frame-pointer -Iinclude -MMD -MP \
    -fsanitize=address,undefined,float-cast-overflow -fno-sanitize-recover=all
fuzz_objects := $(foreach layer,$(FUZZ_LAYERS),$(patsubst %.c,$(BUILD)/fuzz/%.o,$(wildcard src/$(layer)/*.c))) \
    $(BUILD)/fuzz/src/advice/pulls.o $(BUILD)/fuzz/src/advice/tolerance.o \
    $(BUILD)/fuzz/src/advice/record.o $(BUILD)/fuzz/src/advice/verdict.o \
    $(patsubst %.c,$(BUILD)/fuzz/%.o,$(wildcard src/program/read*.c))
fuzz_programs := $(patsubst tests/%.c,$(BUILD)/%,$(wildcard tests/fuzz/fuzz_*.c))

.PHONY: all demo test test-reference sanitize torture coverage mutants static counts bench fuzz format keys install uninstall clean layers \
        unit-tests fuzz-programs page build-packages page-packages page-test-packages \
        test-packages test-banded test-32 dist deb reproducible symbols always

all: $(BUILD)/tackhold $(BUILD)/$(shared) $(BUILD)/public/libtackhold.a $(BUILD)/tackhold.1

# One set of objects for program, static and shared library.
$(BUILD)/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(compile) -fPIC -fno-semantic-interposition -DTH_DATADIR='"$(DATADIR)"' -c $< -o $@

# Touched only when it changes, so that another PREFIX or SOLVER compiles anew what hangs on it.
settings := $(DATADIR) $(SOLVER)
$(BUILD)/settings: always
	@mkdir -p $(@D)
	@echo '$(settings)' | cmp -s - $@ || echo '$(settings)' > $@

$(BUILD)/src/files/tables_load.o $(BUILD)/src/bond/linear_solver.o: $(BUILD)/settings

$(BUILD)/libtackhold.a: $(library_objects)
	@rm -f $@
	ar rcsD $@ $^

# What is installed: only the names in the list are seen from outside. $(BUILD)/libtackhold.a shows
# all of them, to program and tests.
exported := src/packaging/tackhold.map
$(BUILD)/$(shared): $(library_objects) $(exported)
	$(CC) $(CFLAGS) -shared -Wl,-soname,libtackhold.so.$(SOVERSION) \
	    -Wl,--version-script=$(exported) -Wl,-Bsymbolic-functions -Wl,-z,defs \
	    $(LDFLAGS) $(library_objects) $(libraries) -o $@

$(BUILD)/public/libtackhold.a: $(library_objects) $(exported)
	@mkdir -p $(@D)
	@rm -f $@
	@sed -n 's/^ *\(th_[a-z0-9_]*\);$$/\1/p' $(exported) > $(@D)/names
	$(CC) $(CFLAGS) -r -nostdlib $(library_objects) -o $(@D)/tackhold.o
	objcopy --keep-global-symbols=$(@D)/names $(@D)/tackhold.o
	ar rcsD $@ $(@D)/tackhold.o

$(BUILD)/tackhold: $(cli_objects) $(BUILD)/libtackhold.a
	$(CC) $(CFLAGS) $(LDFLAGS) $^ $(libraries) -o $@

# Written by the program from its tables of verbs and keys.
$(BUILD)/tackhold.1: $(BUILD)/tackhold
	$< --mdoc > $@.new && mv $@.new $@

$(BUILD)/tests/support/%.o: tests/support/%.c
	@mkdir -p $(@D)
	$(compile) -Itests -Isrc/bond -c $< -o $@

$(BUILD)/tests/%: tests/unit/%.c $(test_support) $(BUILD)/libtackhold.a
	@mkdir -p $(@D)
	$(compile) -Itests -Isrc/bond -Isrc/program $< $(test_support) $(BUILD)/libtackhold.a \
	    $(LDFLAGS) -lcmocka $(libraries) $(if $(solver_libraries),-lsuitesparseconfig) -o $@

# The page's side of the core, with its own events in the place of the parser of drawings.
$(BUILD)/tests/test_page: tests/unit/test_page.c $(wildcard src/page/*.[ch]) $(test_support) \
    $(BUILD)/libtackhold.a
	@mkdir -p $(@D)
	$(compile) -Itests -Isrc/page -Isrc/page/expat $< $(wildcard src/page/*.c) $(test_support) \
	    $(BUILD)/libtackhold.a $(LDFLAGS) -lcmocka $(libraries) -o $@

.SECONDARY: $(test_support)

$(BUILD)/page/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(page_compile) -c $< -o $@

$(BUILD)/tackhold.html: $(BUILD)/page/tackhold.wasm src/page/bundle.py $(wildcard src/page/web/*) \
    $(wildcard materials/*.ini examples/*)
	python3 src/page/bundle.py $< $(VERSION) $@.new
	mv $@.new $@

# wasm-ld is called by hand: clang would run wasm-opt over it where that is installed.
$(BUILD)/page/tackhold.wasm: $(page_objects)
	wasm-ld-14 --no-entry --strip-debug --gc-sections -z stack-size=1048576 \
	    $(foreach name,$(page_exports),--export=th_page_$(name)) --export=_initialize \
	    -L/usr/lib/wasm32-wasi /usr/lib/wasm32-wasi/crt1-reactor.o $^ -lc -lm \
	    /usr/lib/llvm-14/lib/clang/14.0.6/lib/wasi/libclang_rt.builtins-wasm32.a -o $@

$(BUILD)/fuzz/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(fuzz_compile) -fsanitize=fuzzer-no-link -c $< -o $@

$(BUILD)/fuzz/libtackhold.a: $(fuzz_objects)
	@rm -f $@
	ar rcsD $@ $^

$(BUILD)/fuzz/fuzz_%: tests/fuzz/fuzz_%.c $(BUILD)/fuzz/libtackhold.a
	$(fuzz_compile) -fsanitize=fuzzer $< $(BUILD)/fuzz/libtackhold.a -liniparser -lexpat -lm -o $@

-include $(library_objects:.o=.d) $(cli_objects:.o=.d) $(unit_tests:=.d) $(test_support:.o=.d) \
    $(page_objects:.o=.d) $(fuzz_objects:.o=.d) $(fuzz_programs:=.d)

build-packages:
	@sh tests/need.sh $(BUILD_PACKAGES)

page-packages:
	@sh tests/need.sh $(PAGE_PACKAGES)

test-packages:
	@sh tests/need.sh $(TEST_PACKAGES)

page-test-packages:
	@sh tests/need.sh $(PAGE_TEST_PACKAGES)

page: page-packages
	@$(MAKE) --no-print-directory $(BUILD)/tackhold.html

demo: build-packages
	@$(MAKE) --no-print-directory all
	@sh tests/demo.sh $(BUILD)/tackhold

unit-tests: $(unit_tests)

fuzz-programs: $(fuzz_programs)

test: test-packages
	@$(MAKE) --no-print-directory all unit-tests fuzz-programs $(faults)
	@BUILD=$(BUILD) sh tests/run.sh

sanitize: test-packages
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/sanitize \
	    CFLAGS='-O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined,float-cast-overflow -fno-sanitize-recover=all -Wno-format-truncation' \
	    all unit-tests $(BUILD)/sanitize/torture/faults.so
	@BUILD=$(BUILD)/sanitize NO_VALGRIND=1 NO_FUZZ=1 NO_STATIC=1 NO_PAGE=1 NO_PACKAGE=1 sh tests/run.sh

test-banded: test-packages
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/banded SOLVER=banded all unit-tests
	@BUILD=$(BUILD)/banded UNITS_ALONE=1 sh tests/run.sh

# SSE as on 64 bits: the x87 unit rounds twice, and what is exact in double no longer is. Asks for a
# kernel that runs 32-bit programs.
test-32:
	@sh tests/need_i386.sh
	@sh tests/need.sh $(TEST_32_PACKAGES)
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/32 SOLVER=banded \
	    CFLAGS='-O2 -g -m32 -msse2 -mfpmath=sse -D_FILE_OFFSET_BITS=64' all unit-tests
	@BUILD=$(BUILD)/32 UNITS_ALONE=1 sh tests/run.sh

# Preloaded into the program: makes calls fail.
faults := $(BUILD)/torture/faults.so
$(faults): tests/torture/faults.c
	@mkdir -p $(@D)
	$(CC) -std=c11 $(WARNINGS) -O1 -g -shared -fPIC $< -o $@

TORTURE ?= usual
torture: test-packages
	@$(MAKE) --no-print-directory all fuzz-programs $(faults)
	@/usr/bin/python3 tests/torture/run.py $(BUILD)/tackhold $(faults) $(TORTURE)

coverage:
	@sh tests/need.sh $(TEST_PACKAGES) gcovr
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/coverage CFLAGS='-O0 -g --coverage' path_map= all unit-tests
	@BUILD=$(BUILD)/coverage NO_VALGRIND=1 NO_FUZZ=1 NO_STATIC=1 NO_PAGE=1 NO_PACKAGE=1 NO_TORTURE=1 sh tests/run.sh
	gcovr --root . --object-directory $(BUILD)/coverage \
	    $(foreach layer,$(CORE),--filter 'src/$(layer)/') --print-summary --fail-under-line 90

MUTANTS ?= 300
mutants: test-packages
	BUILD=$(BUILD) /usr/bin/python3 tests/mutate.py $(MUTANTS)

static:
	@sh tests/need.sh $(STATIC_PACKAGES)
	@sh tests/static.sh $(BUILD)

counts: test-packages all
	sh tests/counts.sh $(BUILD)/tackhold record

# The plate against solids of an outside program: solved again, compared with what is recorded.
test-reference:
	@sh tests/need.sh $(REFERENCE_PACKAGES)
	/usr/bin/python3 tests/reference/solid.py compare

bench_support := $(BUILD)/tests/support/plate_case.o $(BUILD)/tests/support/solid_case.o
link_bench = $(compile) -Itests -Isrc/bond $< $(bench_support) $(BUILD)/libtackhold.a $(LDFLAGS) \
    $(libraries) -o $@

$(BUILD)/bench/%: tests/bench/%.c $(bench_support) $(BUILD)/libtackhold.a
	@mkdir -p $(@D)
	$(link_bench)

$(BUILD)/bench/%: tests/reference/%.c $(bench_support) $(BUILD)/libtackhold.a
	@mkdir -p $(@D)
	$(link_bench)

bench:
	@sh tests/need.sh $(BENCH_PACKAGES)
	@$(MAKE) --no-print-directory all $(BUILD)/bench/bench $(BUILD)/bench/plate_export
	@sh tests/bench.sh $(BUILD)/tackhold
	@/usr/bin/python3 tests/bench/bench.py $(BUILD)/bench/bench $(BUILD)/bench/plate_export \
	    $(BUILD)/tackhold

# FUZZ_SECONDS for each reader. What is found and the inputs worth keeping go to $(BUILD)/fuzz.
fuzz:
	@sh tests/need.sh $(FUZZ_PACKAGES)
	@$(MAKE) --no-print-directory fuzz-programs
	@sh tests/fuzz/run.sh $(BUILD)/fuzz $(FUZZ_SECONDS)
	@/usr/bin/python3 tests/fuzz/coverage.py $(BUILD)/fuzz

format:
	clang-format -i $$(find src include tests -name '*.[ch]')

# The comment block on top of each table is written by the program from its own table of keys.
keys: all
	@for kind in stock tape glue cutter machine coolant plate; do \
	    sh tests/keys.sh $(BUILD)/tackhold $$kind > $(BUILD)/$$kind.ini && \
	    mv $(BUILD)/$$kind.ini materials/$$kind.ini || exit 1; done

layers:
	@LAYERS='$(LAYERS)' sh tests/layers.sh

symbols:
	@mkdir -p $(BUILD)
	sh tests/symbols.sh $(exported) $(VERSION) > $(BUILD)/symbols.new
	mv $(BUILD)/symbols.new $(exported)

install: all
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(LIBDIR)/pkgconfig \
	    $(DESTDIR)$(PREFIX)/include/tackhold $(DESTDIR)$(DATADIR)/materials \
	    $(DESTDIR)$(DATADIR)/examples $(DESTDIR)$(MANDIR) $(DESTDIR)$(COMPLETIONDIR)
	install -m 755 $(BUILD)/tackhold $(DESTDIR)$(PREFIX)/bin/tackhold
	install -m 644 $(BUILD)/public/libtackhold.a $(DESTDIR)$(LIBDIR)/libtackhold.a
	install -m 644 $(BUILD)/$(shared) $(DESTDIR)$(LIBDIR)/$(shared)
	ln -sf $(shared) $(DESTDIR)$(LIBDIR)/libtackhold.so.$(SOVERSION)
	ln -sf libtackhold.so.$(SOVERSION) $(DESTDIR)$(LIBDIR)/libtackhold.so
	sed -e 's|@PREFIX@|$(PREFIX)|' -e 's|@LIBDIR@|$(LIBDIR)|' -e 's|@DATADIR@|$(DATADIR)|' \
	    -e 's|@VERSION@|$(VERSION)|' -e 's|@PRIVATE@|$(private_libraries)|' \
	    src/packaging/tackhold.pc.in > $(BUILD)/tackhold.pc
	install -m 644 $(BUILD)/tackhold.pc $(DESTDIR)$(LIBDIR)/pkgconfig/tackhold.pc
	install -m 644 include/tackhold/*.h $(DESTDIR)$(PREFIX)/include/tackhold/
	install -m 644 materials/*.ini $(DESTDIR)$(DATADIR)/materials/
	install -m 644 examples/* $(DESTDIR)$(DATADIR)/examples/
	install -m 644 $(BUILD)/tackhold.1 $(DESTDIR)$(MANDIR)/tackhold.1
	install -m 644 src/cli/tackhold.bash $(DESTDIR)$(COMPLETIONDIR)/tackhold

uninstall:
	rm -f $(DESTDIR)$(PREFIX)/bin/tackhold $(DESTDIR)$(LIBDIR)/libtackhold.a \
	    $(DESTDIR)$(LIBDIR)/libtackhold.so $(DESTDIR)$(LIBDIR)/libtackhold.so.$(SOVERSION) \
	    $(DESTDIR)$(LIBDIR)/$(shared) $(DESTDIR)$(LIBDIR)/pkgconfig/tackhold.pc \
	    $(DESTDIR)$(MANDIR)/tackhold.1 $(DESTDIR)$(COMPLETIONDIR)/tackhold
	rm -rf $(DESTDIR)$(PREFIX)/include/tackhold $(DESTDIR)$(DATADIR)

# The date of everything packed: the one on the manual page, so that the same sources give the same bytes.
SOURCE_DATE_EPOCH ?= $(shell date -u -d "$$(sed -n 's/^\#define DATE "\(.*\)"/\1/p' src/cli/manual.c)" +%s)
dist_files := README.md DEVELOPERS.md LICENSE Makefile .clang-format .clang-tidy .gitignore src include tests \
    materials examples

dist:
	@mkdir -p $(BUILD)
	tar --create --sort=name --mtime=@$(SOURCE_DATE_EPOCH) --owner=0 --group=0 --numeric-owner \
	    --mode=u+rw,go=rX --format=ustar --exclude=__pycache__ --exclude='*~' \
	    --transform='s,^,tackhold-$(VERSION)/,' \
	    --file=$(BUILD)/tackhold-$(VERSION).tar $(dist_files)
	gzip -9nf $(BUILD)/tackhold-$(VERSION).tar

# Built anew with the flags of the distribution.
DEB_BUILD ?= $(BUILD)/deb/build
deb:
	@sh tests/need.sh $(DEB_PACKAGES)
	@rm -rf $(BUILD)/deb/root
	@$(MAKE) --no-print-directory BUILD=$(DEB_BUILD) PREFIX=/usr DESTDIR=$(BUILD)/deb/root \
	    LIBDIR=/usr/lib/$$(dpkg-architecture -qDEB_HOST_MULTIARCH) \
	    CFLAGS="$$(dpkg-buildflags --get CFLAGS) $$(dpkg-buildflags --get CPPFLAGS)" \
	    LDFLAGS="$$(dpkg-buildflags --get LDFLAGS)" install
	SOURCE_DATE_EPOCH=$(SOURCE_DATE_EPOCH) sh src/packaging/deb.sh $(BUILD)/deb $(VERSION) $(SOVERSION)

reproducible: page-packages
	@sh tests/need.sh $(DEB_PACKAGES)
	@sh tests/reproducible.sh $(BUILD)

clean:
	rm -rf build
