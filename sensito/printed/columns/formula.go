package columns

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/sensito/datafile"
)

// Formula reads a law in x: numbers, x, + - * / and brackets, sqrt, exp, ln, log2, log10 and
// pow(x, 1.2). An equals sign with y before it may stand in front.
//
// Errors: [datafile.ErrData].
func Formula(text string) (func(x float64) float64, error) {
	body := strings.TrimSpace(text)
	if left, right, ok := strings.Cut(body, "="); ok && strings.TrimSpace(left) == "y" {
		body = right
	}
	bad := fmt.Errorf("%w: law %q: want linear, power, log, free, or a formula in x such as 6.4*sqrt(x)", datafile.ErrData, text)
	if len(body) > 200 {
		return nil, bad
	}
	e, err := parser.ParseExpr(body)
	if err != nil || !readable(e) {
		return nil, bad
	}
	return func(x float64) float64 { return value(e, x) }, nil
}

var functions = map[string]func(v []float64) float64{
	"sqrt": func(v []float64) float64 { return math.Sqrt(v[0]) }, "exp": func(v []float64) float64 { return math.Exp(v[0]) },
	"ln": func(v []float64) float64 { return math.Log(v[0]) }, "log2": func(v []float64) float64 { return math.Log2(v[0]) },
	"log10": func(v []float64) float64 { return math.Log10(v[0]) }, "pow": func(v []float64) float64 { return math.Pow(v[0], v[1]) },
}

// readable tells whether an expression has nothing but what value knows.
func readable(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.BasicLit:
		_, err := strconv.ParseFloat(e.Value, 64)
		return err == nil && e.Kind != token.STRING && e.Kind != token.CHAR
	case *ast.Ident:
		return e.Name == "x"
	case *ast.ParenExpr:
		return readable(e.X)
	case *ast.UnaryExpr:
		return (e.Op == token.SUB || e.Op == token.ADD) && readable(e.X)
	case *ast.BinaryExpr:
		switch e.Op {
		case token.ADD, token.SUB, token.MUL, token.QUO:
			return readable(e.X) && readable(e.Y)
		}
	case *ast.CallExpr:
		f, ok := e.Fun.(*ast.Ident)
		if !ok || functions[f.Name] == nil || len(e.Args) != 1 && f.Name != "pow" || len(e.Args) != 2 && f.Name == "pow" {
			return false
		}
		for _, a := range e.Args {
			if !readable(a) {
				return false
			}
		}
		return true
	}
	return false
}

func value(e ast.Expr, x float64) float64 {
	switch e := e.(type) {
	case *ast.BasicLit:
		v, _ := strconv.ParseFloat(e.Value, 64)
		return v
	case *ast.Ident:
		return x
	case *ast.ParenExpr:
		return value(e.X, x)
	case *ast.UnaryExpr:
		if e.Op == token.SUB {
			return -value(e.X, x)
		}
		return value(e.X, x)
	case *ast.BinaryExpr:
		a, b := value(e.X, x), value(e.Y, x)
		switch e.Op {
		case token.ADD:
			return a + b
		case token.SUB:
			return a - b
		case token.MUL:
			return a * b
		}
		return a / b
	case *ast.CallExpr:
		var v []float64
		for _, a := range e.Args {
			v = append(v, value(a, x))
		}
		return functions[e.Fun.(*ast.Ident).Name](v)
	}
	return math.NaN()
}
