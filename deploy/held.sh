#!/bin/sh
# Runs branbell where whatever has ended is started again, however it ended. Starting again does not help after 77: the
# session is over, and the log tells what to do. Then this does nothing until it is told to stop.

run() {
    "$@" &
    child=$!
    wait "$child"
    status=$?
    # A signal ends the wait before it ends the child.
    while kill -0 "$child" 2>/dev/null; do
        wait "$child"
        status=$?
    done
}

trap 'kill -TERM "$child"' TERM INT
run branbell "$@"
if [ "$status" -eq 77 ]; then
    run sleep infinity
fi
exit "$status"
