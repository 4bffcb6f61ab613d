//go:build js && wasm

// Command tables is an engine of the page in a browser.
package main

import (
	"example.org/actinic/examples/page/engines/engine"
	"example.org/actinic/examples/page/tables"
)

func main() { engine.Serve("actinic_tables", tables.Answer) }
