package datapackage

import "example.org/actinic/internal/jsonplace"

// Node is a value of the descriptor that knows where it stands.
type Node = jsonplace.Node
