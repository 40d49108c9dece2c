#!/usr/bin/env bash
# Figures as other programs read them: text in a PDF, well-formed SVG, a system without fonts, a full disk.
set -u
export LC_ALL=C.UTF-8
. "$(dirname "$0")/../support/counting.bash"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1

for kind in delays doppler rate sheet; do
    "$GUARDSPAN" draw "$kind" -o "$kind.pdf"
    "$GUARDSPAN" draw "$kind" -o "$kind.svg"
    check "$kind: one page" sh -c "pdfinfo $kind.pdf | grep -q '^Pages: *1\$'"
    check "$kind: well-formed SVG" xmllint --noout --nonet "$kind.svg"
    check "$kind: an accessible title" sh -c "xmllint --nonet --xpath '/*[local-name()=\"svg\"]/*[local-name()=\"title\"]/text()' $kind.svg | grep -q ."
done
check "the PDF's words can be searched" sh -c "pdftotext delays.pdf - | grep -q 'OFDM guard interval 148.1 us'"
check "the sheet's size is A4" sh -c "pdfinfo sheet.pdf | grep -q 'A4'"
check "the sheet's figures can be searched" sh -c "pdftotext -layout sheet.pdf - | grep -Eq 'Net rate +19.39 +[0-9.]+ +Mbit/s'"

# Without any font the figure still carries its words.
echo '<?xml version="1.0"?><fontconfig></fontconfig>' >none.conf
check "no font: drawn" env FONTCONFIG_FILE="$work/none.conf" "$GUARDSPAN" draw delays -o bare.pdf
check "no font: other shapes than with one" sh -c "! cmp -s bare.pdf delays.pdf"
env FONTCONFIG_FILE="$work/none.conf" "$GUARDSPAN" draw delays -o bare.svg
check "no font: every word stays" sh -c "grep -q '^8-VSB equaliser -29.5 to' bare.svg"

# A folder that may not be written leaves what was there (root may write anywhere: then skip).
mkdir locked
"$GUARDSPAN" draw rate -o locked/a.svg
before=$(cksum <locked/a.svg)
chmod a-w locked locked/a.svg
if ! touch locked/probe 2>/dev/null; then
    check "read-only folder: refused" sh -c "! \"$GUARDSPAN\" draw delays -o locked/a.svg"
fi
chmod u+w locked
rm -f locked/probe
check "read-only file: left alone" test "$before" = "$(cksum <locked/a.svg)"
check "nothing is left beside a figure" test "$(ls locked | wc -l)" = 1
if [ -e /dev/full ]; then
    "$GUARDSPAN" draw rate -o full.svg && ln -s /dev/full link.svg
    check "full disk: said" sh -c "\"$GUARDSPAN\" draw rate -o link.svg 2>&1 | grep -q 'cannot be written'"
fi

summary
