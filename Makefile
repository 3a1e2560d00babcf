# Two commands do all set-up: `make demo` (needs Go only) and `make test`.
GO_SRC := $(shell find cmd internal -name '*.go' -not -name '*_test.go' 2>/dev/null)
EMBED  := $(shell find internal -path '*/assets/*' -type f 2>/dev/null)
BIN    := bin/fledge
TEST_PKGS ?= ./...

.PHONY: demo build test check accuracy bench docs fuzz clean

demo: $(BIN)
	@$(BIN) check examples/tern.yaml || test $$? -eq 3
	@echo
	@$(BIN) check examples/tern-corrected.yaml || test $$? -eq 3

build: $(BIN)

$(BIN): $(GO_SRC) $(EMBED) go.mod go.sum
	CGO_ENABLED=0 go build -trimpath -ldflags '-s -w' -o $@ ./cmd/fledge

# check: format, vet, static analysis, import rules.
check:
	@out=$$(gofmt -l cmd internal); if [ -n "$$out" ]; then echo "not gofmt-ed:"; echo "$$out"; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

test: $(BIN) check
	go test $(TEST_PKGS)

accuracy:
	@rm -rf .make/accuracy && mkdir -p .make/accuracy
	FLEDGE_ACCURACY=$(CURDIR)/.make/accuracy go test -count=1 -p 2 ./internal/...
	go run ./cmd/accuracy .make/accuracy docs/accuracy.md

docs:
	go run ./cmd/docs docs

# bench: the promised speeds beside their aims, ratios from one run.
bench:
	@go run ./cmd/bench

clean:
	rm -rf bin .make
