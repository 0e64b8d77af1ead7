#!/bin/bash
# Slurm: the tiles of a job that was split as a job array, and its merge as a job that waits for all of them.
#
#   bash slurm-array.sh job.json               on a login node; again: only what is missing
#   SBATCH_ARGS='--partition=long --mem=2G' bash slurm-array.sh job.json
#
# Every node reads the folder of the manifest under the same path. Tasks are numbered from 0; task 3 of 500 runs tile 3, and
# tiles 503, 1003, ... where there are more tiles than tasks. A tile that is done is not done again.
#SBATCH --job-name=rootberth-tiles
#SBATCH --cpus-per-task=1
#SBATCH --time=04:00:00
set -euo pipefail

manifest=${1:?the manifest that rootberth split wrote}
tasks=${TASKS:-500} # at most MaxArraySize of: scontrol show config

if [ -n "${SLURM_ARRAY_TASK_ID:-}" ]; then
  exec rootberth run "$manifest" --index "$SLURM_ARRAY_TASK_ID-last:$tasks"
fi

# On the login node. Tasks that have something to do: 3,17,18
missing=$(rootberth merge "$manifest" --missing)
array=$(awk -v n="$tasks" 'NF && !seen[$1 % n]++ { printf "%s%d", sep, $1 % n; sep = "," }' <<<"$missing")
after=()
if [ -n "$array" ]; then
  # shellcheck disable=SC2086 # several arguments in one variable
  id=$(sbatch --parsable ${SBATCH_ARGS:-} --export="ALL,TASKS=$tasks" --array="$array" "$0" "$manifest")
  id=${id%%;*} # a cluster's name may follow
  # afterok: only when every task has ended with 0; else the merge is taken out of the queue.
  after=(--dependency="afterok:$id" --kill-on-invalid-dep=yes)
  echo "tiles: job $id, tasks $array"
fi
# shellcheck disable=SC2086,SC2016 # the argument is the job's own
id=$(sbatch --parsable ${SBATCH_ARGS:-} "${after[@]}" --job-name=rootberth-merge \
  --wrap="rootberth merge $(printf %q "$manifest")")
echo "merge: job ${id%%;*}"
