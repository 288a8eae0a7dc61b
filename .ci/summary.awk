# Condenses `go test -v`: one closing line a package; all that a failing package printed; every skipped test with its
# reason. Exits 1 when a package failed or none was tested.

/^=== / { running = $0; next }
/^[ \t]*--- SKIP/ { skipped[++skips] = said($0); next }
/^(ok|FAIL)[ \t]/ && NF > 1 { close_package($0); next }
/^\?[ \t]/ { next }
/^[ \t]*--- PASS/ || /^PASS$/ || /^FAIL$/ { next }
{ kept[++lines] = $0 }

# said joins a skip with the reason, which stands on the line before it.
function said(line) { return line (lines > 0 ? ": " trimmed(kept[lines]) : "") }

function trimmed(text) { sub(/^[ \t]+/, "", text); return text }

function close_package(line,    i) {
	if (line ~ /^FAIL/) {
		failed = 1
		for (i = 1; i <= lines; i++) print kept[i]
	} else tested++
	print line
	fflush()
	lines = 0
}

END {
	for (i = 1; i <= lines; i++) print kept[i]
	for (i = 1; i <= skips; i++) print "SKIPPED " trimmed(skipped[i])
	if (skips) print skips " test(s) were skipped: what they check was NOT checked"
	if (lines || !tested) failed = 1
	exit failed
}
