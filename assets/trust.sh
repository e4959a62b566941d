#!/usr/bin/env bash
# Runs what shows that nothing entered is lost and no wrong plan is shown: power
# cuts, damage, faults of disk, share and clock, hostile input, load, privacy.
# "bash assets/trust.sh" runs a share of each, about two minutes on two cores;
# "bash assets/trust.sh all" runs the whole, some two hours, with every fuzz
# target for FUZZTIME (20s). What is installed by "bash assets/setup.sh tests" is
# needed.
set -uo pipefail
cd "$(dirname "$0")/.."
export LANG=C.UTF-8

window='PowerCuts|UnderLoad|ADayIn|NoNetwork'
names='Fuzz|AnyProjectGives|CancellingReturns|GivesTheSamePlan|ChangesNothing|ChangesOnlyMarks|FollowThePile|NeverWorse|NeverCostsMore'
names+='|GeneralSolver|MixedInteger|SheetsPassTheChecker|CheckFinds|CheckCutsFinds|CheckOrderFinds|CheckTimelineFinds|CheckRefuses|PassesTheCheck'
names+='|SumsAreRefused|AreNotShown|FailedCheck|FailsItsCheck|BadInput|Hostile|BeyondTheLimit|NoLongerFit|BoardsFiles|PartsFiles|ExpensesFile|WrongRows'
names+='|HugeFile|ASpreadsheet|AFormula|TextIsEscaped|WholeOrNot|BadUse|DoesNotOpen|LossesOfACopy|TakenAway|SecondWindow'
whole="./storage ./ui/session"
# The packages in which a test of such a name stands.
named=$(grep -rlE "^func (Test|Fuzz)[A-Za-z0-9]*($names)" --include=*_test.go plan layout ui | xargs -n1 dirname | sort -u | grep -vxE 'ui/session|ui/realwindow' | sed 's,^,./,')

case "${1:-}" in
  "") how="-race -timeout 10m" ;;
  all)
    export PILEWRIGHT_FULL=1
    how="-v -timeout 4h"
    names+='|TwoThousandCopies'
    ;;
  *) echo "usage: bash assets/trust.sh [all]" >&2; exit 2 ;;
esac

failed=0
# run tests and shows how each package fared, what failed, and every figure.
run() { # shellcheck disable=SC2086
  go test $how "$@" 2>&1 | grep --line-buffered -vE '^(=== |(    )*--- (PASS|SKIP)|PASS$|\?)'
  [ "${PIPESTATUS[0]}" -eq 0 ]
}

began=$SECONDS
if [ "${1:-}" = all ]; then # the times of the window are its own only while nothing else runs
  run ./ui/realwindow -run UnderLoad || failed=1
  window=${window/UnderLoad|/}
fi
run ./ui/realwindow -run "$window" &
beside=$!
# shellcheck disable=SC2086
run $whole || failed=1
# shellcheck disable=SC2086
run $named -run "$names" || failed=1
wait "$beside" || failed=1
if [ "${1:-}" = all ]; then
  while IFS=: read -r file name; do
    name=${name#func }
    echo "$name"
    go test "./$(dirname "$file")" -run '^$' -fuzz "^$name\$" -fuzztime "${FUZZTIME:-20s}" 2>&1 | grep -vE '^(fuzz: elapsed|PASS$)'
    [ "${PIPESTATUS[0]}" -eq 0 ] || failed=1
  done < <(grep -roE '^func Fuzz[A-Za-z0-9]+' --include=*_test.go plan layout storage ui | sort)
fi
echo "$(( (SECONDS - began) / 60 )) min $(( (SECONDS - began) % 60 )) s; $([ $failed -eq 0 ] && echo 'all of it holds' || echo 'something failed')"
exit $failed
