# bayproof: the verbs. `make demo` and `make test` are all that a fresh clone needs.

SHELL       := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
GO          ?= go
NPM         ?= npm
FOLDERS     := cmd model report verify
BUILD       := CGO_ENABLED=0 $(GO) build -trimpath -buildvcs=auto -ldflags '-s -w -buildid='
EXE         := $(shell $(GO) env GOEXE)
GOVULNCHECK := golang.org/x/vuln/cmd/govulncheck@v1.9.0
STATICCHECK := honnef.co/go/tools/cmd/staticcheck@v0.8.2
PLATFORMS   := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64
PROFILE     := cmd/bayproof/default.pgo
CHECKER     := report/pocket/built/checker.wasm.gz
FUZZTIME    ?= 10m
SHA256      := $(shell command -v sha256sum >/dev/null && echo sha256sum || echo shasum -a 256)

.PHONY: build script demo test race torture lint bench profile simulate kills fuzz dist clean

build: script
	$(BUILD) -o bin/bayproof$(EXE) ./cmd/bayproof

# The chart script of the record, and the checker for the phone's page. Everything but `dist` works without them: the record then says
# that it has no chart, and `pocket` that it has no checker.
script: report/assets/npm/echarts.common.min.js $(CHECKER)

# The same bytes each time: no paths, no version control, no time (gzip -n). What starts it comes from the Go that builds it.
$(CHECKER): $(shell find cmd/pocket cmd/prompt model report/*.go report/say report/screen verify -name '*.go' ! -name '*_test.go' ! -path '*/serve/*') $(wildcard report/assets/*.html) go.mod
	GOOS=js GOARCH=wasm $(GO) build -trimpath -buildvcs=false -ldflags '-s -w -buildid=' -o $(@:.gz=) ./cmd/pocket/wasm
	gzip -9nf $(@:.gz=)
	cp "$$($(GO) env GOROOT)/lib/wasm/wasm_exec.js" $(@D)/

report/assets/npm/echarts.common.min.js: $(wildcard package.json package-lock.json)
	@if [ ! -f package.json ]; then echo "make: no package.json: the record will have no chart" >&2; \
	elif ! command -v $(NPM) >/dev/null; then echo "make: $(NPM) not found: the record will have no chart" >&2; \
	else $(NPM) ci --ignore-scripts --loglevel=error && mkdir -p $(@D) && \
		cp node_modules/echarts/LICENSE node_modules/echarts/NOTICE node_modules/echarts/dist/echarts.common.min.js $(@D)/ && \
		cp node_modules/zrender/LICENSE $(@D)/zrender.LICENSE && touch $@; fi

demo: build
	bin/bayproof$(EXE) demo

# Prints one line a package, the whole output of a package that fails, and every test that was skipped.
test: script
	$(GO) vet ./...
	$(GO) test -v -timeout 20m ./... 2>&1 | awk -f .ci/summary.awk

lint:
	@unformatted=$$(gofmt -l $(FOLDERS)); if [ -n "$$unformatted" ]; then echo "gofmt:" $$unformatted; exit 1; fi
	$(GO) vet ./...
	GOOS=windows $(GO) vet ./...
	$(GO) run $(STATICCHECK) ./...
	@out=$$($(GO) run $(GOVULNCHECK) ./... 2>&1) && echo "$$out" || { echo "$$out"; \
		if grep -qE 'dial tcp|no such host|i/o timeout|proxyconnect|HTTP GET|fetching vulnerabilities|module lookup disabled' <<<"$$out"; then \
			echo "lint: the list of known faults cannot be reached from here: govulncheck was not run" >&2; else exit 1; fi; }

# The race detector on the packages that start goroutines; of the commands' tests those that do.
race:
	$(GO) test -race -timeout 30m ./model/joblog/... ./cmd/pocket
	$(GO) test -race -timeout 30m -run '^(TestHostile|TestACrash|TestASignalLeavesNoFile)$$|TestScripts/^(many|journal)$$' ./cmd

# The long forms of what is tried against breaking: takes an hour or more. Failing calls of the system, 1000 kills, time and memory of what grows, each hostile file
# within two seconds; then the readings set against others, FUZZTIME each.
torture:
	BAYPROOF_TORTURE=1 BAYPROOF_KILLS=1000 CGO_ENABLED=0 $(GO) test -timeout 180m -count 1 -v \
		-run '^(TestTheSystemFails|TestNoConfirmedEntryIsLost|TestTwiceTheInputInTime|TestHostile)$$' ./cmd
	$(GO) test -run '^$$' -fuzz '^FuzzCutAgainstTheLibrary$$' -fuzztime $(FUZZTIME) ./model/joblog
	$(GO) test -run '^$$' -fuzz '^FuzzAgainstExactLengths$$' -fuzztime $(FUZZTIME) ./model/cell
	$(GO) test -run '^$$' -fuzz '^FuzzRead$$' -fuzztime $(FUZZTIME) ./model/joblog/journal

# Built with the profile that the command itself is built with.
bench: script
	$(GO) test -pgo=$(PROFILE) -run '^$$' -bench . -benchmem -timeout 60m ./...

# Takes anew what the compiler is told to make fast. Worth while after a change to what runs once for every bay.
profile: script
	$(GO) test -trimpath -pgo=off -run '^$$' -bench '^BenchmarkLongCommands$$' -benchtime 12x \
		-cpuprofile $(PROFILE) -o $$(mktemp) ./cmd

# The crews of verify/crew/SIMULATION.md (the obedient one is in cmd/prompt) and verify/audit/SIMULATION.md, with known truth: takes minutes.
simulate:
	$(GO) test -run '^TestSimulat' -count 1 -v -timeout 120m ./verify/crew -args -simulate
	$(GO) test -run '^TestSimulat' -count 1 -v -timeout 120m ./verify -args -simulate -jobs 1000
	$(GO) test -run '^TestSimulat' -count 1 -v -timeout 120m ./verify/audit/... -args -simulate
	$(GO) test -run '^Test(ObedientCrew|Commitment)$$' -count 1 -v -timeout 120m ./cmd/prompt -args -simulate

# Kills the log command at a thousand random moments, and the phone's page at five hundred: no confirmed entry may be lost.
kills: script
	BAYPROOF_KILLS=1000 $(GO) test -run '^TestNoConfirmedEntryIsLost$$' -count 1 -v ./cmd
	BAYPROOF_KILLS=500 $(GO) test -run '^TestPocketKilled$$' -count 1 -v -timeout 240m ./cmd

# Every fuzz target for FUZZTIME each. No target found is a failure.
fuzz:
	@found=0; for pkg in $$($(GO) list ./...); do \
		for target in $$($(GO) test -list '^Fuzz' $$pkg | grep '^Fuzz' || true); do found=1; \
			echo "$$pkg $$target"; $(GO) test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 10x $$pkg; \
	done; done; if [ $$found = 0 ]; then echo "make: no fuzz target found" >&2; exit 1; fi

# Static, reproducible binaries with the readme, what it links to and shows, the licences of what is inside, and checksums of all.
dist: script
	@test -s report/assets/npm/echarts.common.min.js || { echo "make: a release needs the chart script: install npm" >&2; exit 1; }
	@test -s $(CHECKER) || { echo "make: a release needs the checker for the phone" >&2; exit 1; }
	rm -rf dist && mkdir dist
	@for p in $(PLATFORMS); do os=$${p%/*}; arch=$${p#*/}; ext=; if [ $$os = windows ]; then ext=.exe; fi; \
		out=dist/bayproof-$$os-$$arch$$ext; echo $$out; \
		GOOS=$$os GOARCH=$$arch $(BUILD) -o $$out ./cmd/bayproof; done
	.ci/licences > dist/LICENCES.txt
	.ci/sbom dist/bayproof-* > dist/bayproof.cdx.json
	.ci/handbook dist
	cd dist && find * -type f ! -name SHA256SUMS -print0 | LC_ALL=C sort -z | xargs -0 $(SHA256) > SHA256SUMS && cat SHA256SUMS

clean:
	rm -rf bin dist bayproof-demo node_modules report/assets/npm/*.js report/assets/npm/LICENSE report/assets/npm/zrender.LICENSE report/assets/npm/NOTICE report/pocket/built/*.*
