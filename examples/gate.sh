#!/bin/sh
# Posts a solution request (layout, conditions and grid in one file) to HeatSpread and gates on the verdict.
#   gate.sh REQUEST.json [SERVICE]
# Exit code 0: within all limits; 1: over a limit; 2: no solution. Needs curl only; an API key is taken from HEATSPREAD_KEY.
set -u
request=${1:?usage: gate.sh REQUEST.json [SERVICE]}
service=${2:-http://127.0.0.1:5080}
answer=$(curl -sS -X POST "$service/v1/solutions" -H 'Content-Type: application/json' ${HEATSPREAD_KEY:+-H "Authorization: Bearer $HEATSPREAD_KEY"} \
  --retry 10 --data-binary "@$request") || exit 2 # curl honours the Retry-After of a busy service
case $answer in
  *'"verdict":{"pass":true,'*) echo pass ;;
  *'"verdict":{"pass":false,'*)
    printf '%s\n' "$answer" | sed 's/.*"verdict":{"pass":false,"reasons":\(\[[^]]*\]\).*/fail: \1/'
    exit 1 ;;
  *)
    printf '%s\n' "$answer" >&2
    exit 2 ;;
esac
