#!/bin/sh
# The whole way, without writing a line of Go: from the plan of a test to the card in the
# bag, of an invented film. It makes the folder way, or the one named. Step 2 stands in for
# exposing, developing and reading densities.
set -eu
way=${1:-way}
mkdir "$way"
cat > "$way/times.csv" <<'TIMES'
metered_s,adjusted_s
1/2,1/2
1,1.1
4,6
10,20
40,2m17s
TIMES

go run ./examples/testplan -camera bothy -index 1600 -ev 12 -half-width 0.25 -film "Cwmorthin Rapid (invented)" -out "$way/test"
go run ./examples/internal/standin -index 1900 "$way/test"
go run ./examples/testplan -dir "$way/test" -camera bothy -ev 12
go run ./examples/testroll -dir "$way/test" -out "$way/report" -source "an invented test" -licence CC0-1.0 -author "A. Tester"
go run ./examples/measure -kind reciprocity -film "$way/report" -out "$way/film" -page "$way/measured" "$way/times.csv"
go run ./examples/compare -by index -out "$way/compared" "$way/film" "Garnedd Swift"
go run ./examples/datacheck "$way/film"
go run ./examples/exposure -card -film "$way/film" -camera bothy -out "$way/card"
