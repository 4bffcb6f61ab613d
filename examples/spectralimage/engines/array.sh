#!/bin/sh
# One task of an array job: a share of the rows of a cube, by its number from 0.
#   sbatch --array=0-7 array.sh          (then join, when all are done)
# Other engines give the number in another variable, or as the first argument.
set -eu
: "${ROWS:=512}" "${TASKS:=8}" "${CUBE:=scene.npy}" "${BANDS:=-from 380 -to 700}" "${OUT:=parts}"
n=${SLURM_ARRAY_TASK_ID:-${PBS_ARRAY_INDEX:-${1:?the number of the task}}}
a=$((ROWS * n / TASKS)) b=$((ROWS * (n + 1) / TASKS))
# BANDS is several arguments.
# shellcheck disable=SC2086
exec spectralimage -cube "$CUBE" $BANDS -workers 1 -rows "$a:$b" -out "$OUT/$n"
