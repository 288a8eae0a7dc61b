package cmd_test

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"bayproof/cmd"
)

const scriptFolder = "../testdata/script"

// suite is all tests of the package, and the end of the browser that they share.
type suite struct{ *testing.M }

// Run runs them, twice as many at a time as there are processors: most wait for another program.
func (s suite) Run() int {
	flag.Parse()
	if f := flag.Lookup("test.parallel"); f.Value.String() == f.DefValue {
		_ = f.Value.Set(strconv.Itoa(2 * runtime.GOMAXPROCS(0)))
	}
	code := s.M.Run()
	if tabs.end != nil {
		tabs.end()
	}
	return code
}

// TestMain lets the scripts run bayproof as a program of its own.
func TestMain(m *testing.M) {
	testscript.Main(suite{m}, map[string]func(){
		"bayproof": func() { os.Exit(cmd.Run(os.Args[1:], cmd.System())) },
	})
}

// notForever ends a program that hangs, so that its test says so before all tests are given up.
func notForever(t *testing.T, started *exec.Cmd) {
	t.Helper()
	const long = 5 * time.Minute
	late := time.AfterFunc(long, func() {
		t.Errorf("%s: not done within %v, and ended", strings.Join(started.Args, " "), long)
		_ = started.Process.Kill()
	})
	t.Cleanup(func() { late.Stop() })
}

// TestScripts runs every script; besides the usual commands there are `exits CODE ARGS…`, which
// runs bayproof and wants that exit code, `signers FILE`, which writes the own public key under the
// name Kim into a file, and `forge RECORD OLD NEW…`, which puts each NEW in the place of the first
// match of the pattern OLD and the digest anew (`! forge` leaves the digest).
func TestScripts(t *testing.T) {
	t.Parallel()
	scripts, err := filepath.Glob(filepath.Join(scriptFolder, "*.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	if len(scripts) == 0 {
		t.Fatalf("no script in %s: the test looks in the wrong place", scriptFolder)
	}
	testscript.Run(t, testscript.Params{
		Files: scripts,
		Setup: func(env *testscript.Env) error { // files that cannot stand in a script
			endless := os.WriteFile(filepath.Join(env.WorkDir, "endless"), []byte(strings.Repeat("x", 100_000)), 0o666)
			if _, err := os.Stat(filepath.Join(env.WorkDir, "headless")); err != nil {
				return endless
			}
			return errors.Join(endless, os.WriteFile(filepath.Join(env.WorkDir, "headless", "bays.csv"), []byte("\ufeffsection,bay,entry,sha"), 0o666))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "forge": forge, "signers": signers},
	})
}

func forge(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 3 || len(args)%2 == 0 {
		ts.Fatalf("usage: [!] forge RECORD OLD NEW [OLD NEW]…")
	}
	page := ts.ReadFile(args[0])
	for i := 1; i < len(args); i += 2 {
		at := regexp.MustCompile(args[i]).FindStringIndex(page)
		if at == nil {
			ts.Fatalf("no %q in %s", args[i], args[0])
		}
		page = page[:at[0]] + args[i+1] + page[at[1]:]
	}
	if !neg {
		page = resealed(page)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(page), 0o666))
}

func signers(ts *testscript.TestScript, _ bool, args []string) {
	_, key, _ := strings.Cut(strings.TrimSpace(ts.ReadFile("config/bayproof/sign.pub")), "\n")
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte("# who signs\nKim "+key+"\n"), 0o666))
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: exits CODE ARGS…")
	}
	want, err := strconv.Atoi(args[0])
	if err != nil {
		ts.Fatalf("%q is no exit code", args[0])
	}
	got := 0
	if err := ts.Exec("bayproof", args[1:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}
