// The checker in a browser: it hands package pocket the page's clock and its storage, and answers
// the page's calls.
package main

import (
	"encoding/json"
	"fmt"
	"runtime/debug"
	"sync"
	"syscall/js"
	"time"

	"bayproof/cmd/pocket"
)

// memory is where the collector begins to work harder, in bytes: without it a job of 500 bays on a
// counter takes ten times as much.
const memory = 64 << 20

// main hands the page one function, start, and waits for calls until the page goes.
func main() {
	debug.SetMemoryLimit(memory)
	js.Global().Set("bayproofStart", js.FuncOf(func(_ js.Value, args []js.Value) any {
		return promise(func() (any, error) { return start(args[0].String(), args[1]) })
	}))
	js.Global().Call("bayproofReady")
	select {}
}

// opening is what the page gives to start with.
type opening struct {
	Data    pocket.Data   `json:"data"`
	Kept    []pocket.Kept `json:"kept"`
	Earlier []pocket.Kept `json:"earlier"` // rows of earlier pages of the job
}

// start puts the job together and gives the page a function that answers its calls, one at a time.
// keep is the page's: it takes rows as JSON and returns a promise, which is kept once they are on
// disk.
func start(text string, keep js.Value) (any, error) {
	var open opening
	if err := json.Unmarshal([]byte(text), &open); err != nil {
		return nil, err
	}
	engine, standing, err := pocket.New(open.Data, open.Kept, time.Now, func(rows []pocket.Kept) error {
		b, err := json.Marshal(rows)
		if err != nil {
			return err
		}
		return await(keep.Invoke(string(b)))
	})
	if err != nil {
		return nil, err
	}
	var one sync.Mutex
	js.Global().Set("bayproofCall", js.FuncOf(func(_ js.Value, args []js.Value) any {
		name, text := args[0].String(), args[1].String()
		return promise(func() (any, error) {
			one.Lock()
			defer one.Unlock()
			var ask pocket.Ask
			if err := json.Unmarshal([]byte(text), &ask); err != nil {
				return nil, err
			}
			return engine.Call(name, ask)
		})
	}))
	earlier, err := engine.Earlier(open.Earlier)
	if err != nil {
		return nil, err
	}
	return map[string]any{"kept": standing, "earlier": earlier}, nil
}

// promise runs work beside the browser's own loop, which must not be kept waiting, and answers with
// its result as JSON.
func promise(work func() (any, error)) js.Value {
	return js.Global().Get("Promise").New(js.FuncOf(func(_ js.Value, then []js.Value) any {
		go func() {
			b, err := safely(work)
			if err != nil {
				then[1].Invoke(js.Global().Get("Error").New(err.Error()))
				return
			}
			then[0].Invoke(string(b))
		}()
		return nil
	}))
}

// safely turns a panic into an error: the page goes on with the rows that it keeps.
func safely(work func() (any, error)) (b []byte, err error) {
	defer func() {
		if x := recover(); x != nil {
			err = fmt.Errorf("the checker failed: %v", x)
		}
	}()
	answer, err := work()
	if err != nil {
		return nil, err
	}
	return json.Marshal(answer)
}

// await waits until a promise of the page is kept, or broken.
func await(p js.Value) error {
	done := make(chan error, 1)
	kept := js.FuncOf(func(js.Value, []js.Value) any { done <- nil; return nil })
	broken := js.FuncOf(func(_ js.Value, args []js.Value) any {
		done <- fmt.Errorf("%s", args[0].Call("toString").String())
		return nil
	})
	defer kept.Release()
	defer broken.Release()
	p.Call("then", kept, broken)
	return <-done
}
