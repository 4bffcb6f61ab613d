//go:build js && wasm

// Package engine puts an answer into a browser: the function that the page calls.
package engine

import (
	"syscall/js"

	"example.org/actinic/examples/page/answer"
)

// Serve sets a function of the page that takes the dropped files, an object of Uint8Arrays by
// name, and returns the answer as JSON. It does not end.
func Serve(name string, of func(files map[string][]byte) answer.Answer) {
	js.Global().Set(name, js.FuncOf(func(_ js.Value, args []js.Value) any {
		files := map[string][]byte{}
		names := js.Global().Get("Object").Call("keys", args[0])
		for i := range names.Length() {
			name := names.Index(i).String()
			content := args[0].Get(name)
			b := make([]byte, content.Length())
			js.CopyBytesToGo(b, content)
			files[name] = b
		}
		return string(of(files).JSON())
	}))
	select {}
}
