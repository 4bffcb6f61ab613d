//go:build js && wasm

// Command rolls is the engine of the page in a browser: it puts the function actinic_rolls there,
// which takes the dropped files, an object of Uint8Arrays by name, and returns the answer as JSON.
package main

import (
	"syscall/js"

	"example.org/actinic/examples/page/rolls"
)

func main() {
	js.Global().Set("actinic_rolls", js.FuncOf(func(_ js.Value, args []js.Value) any {
		files := map[string][]byte{}
		names := js.Global().Get("Object").Call("keys", args[0])
		for i := range names.Length() {
			name := names.Index(i).String()
			content := args[0].Get(name)
			b := make([]byte, content.Length())
			js.CopyBytesToGo(b, content)
			files[name] = b
		}
		return string(rolls.Answer(files).JSON())
	}))
	select {}
}
