#!/bin/sh
# Runs branbell where whatever has ended is started again, however it ended. Starting again does not help after 77: the
# session is over, and the log tells what to do. Then this does nothing until it is told to stop.

stopped=
child=

# Tells the child to stop, as soon as both are known: that it is to stop, and which child.
stop() {
    [ -z "$stopped" ] || [ -z "$child" ] || kill -TERM "$child" 2>/dev/null
}

run() {
    # What a child is told before it runs a program of its own is lost: once it does it says so, and is told again.
    sh -c 'kill -USR1 "$0"; exec "$@"' $$ "$@" &
    child=$!
    stop
    status=127
    # A signal ends the wait before it ends the child.
    while kill -0 "$child" 2>/dev/null; do
        wait "$child"
        status=$?
    done
    # Where both ended in the same moment, only this tells how; a shell that told it already may say 127.
    wait "$child" 2>/dev/null
    last=$?
    [ "$last" -eq 127 ] || status=$last
    child=
}

trap 'stopped=yes; stop' TERM INT
trap stop USR1
run branbell "$@"
if [ "$status" -eq 77 ] && [ -z "$stopped" ]; then
    run sleep infinity
fi
exit "$status"
