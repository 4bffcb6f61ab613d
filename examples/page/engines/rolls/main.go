//go:build js && wasm

// Command rolls is an engine of the page in a browser.
package main

import (
	"example.org/actinic/examples/page/engines/engine"
	"example.org/actinic/examples/page/rolls"
)

func main() { engine.Serve("actinic_rolls", rolls.Answer) }
