/**
 * `how-to-check.txt`: how a stranger checks a bag with openssl, sha256sum and jq, and what no check can
 * show. The commands (the lines behind four spaces) are run as they stand by a test.
 */

export const HOW_TO_CHECK_TEXT = `HOW TO CHECK THIS BAG WITHOUT THE PROGRAM THAT MADE IT

You need a Unix-like shell with the GNU core tools (sha256sum, sha512sum, base64, head, tail, cmp),
OpenSSL 3 or later, and jq. Unpack the archive, open a shell in the folder that holds this bag's
bagit.txt, and type the indented lines. Every step prints what it found; a step that does not print
what is said here has failed. Nothing here needs a network. First a folder for what is made on the way:

    w=$(mktemp -d)

1. NO FILE WAS CHANGED, ADDED OR LOST SINCE THE BAG WAS MADE

The bag is a BagIt 1.0 bag (RFC 8493). Each command must print OK for every file.

    sha256sum -c manifest-sha256.txt
    sha512sum -c manifest-sha512.txt
    sha256sum -c tagmanifest-sha256.txt
    sha512sum -c tagmanifest-sha512.txt

And this must print nothing: files that no manifest lists.

    find data -type f | sort > "$w"/files; cut -c67- manifest-sha256.txt | sort | diff "$w"/files -

2. WHO SEALED THE BAG

tagmanifest-sha256.txt.note is the tag manifest again, signed with Ed25519 (a C2SP signed note). First a
helper that writes a public key of data/keys.json as a file for openssl, given its thumbprint:

    key_file() { x=$(jq -r --arg k "$1" '.keys[] | select(.key == $k) | .public' data/keys.json); { printf '\\060\\052\\060\\005\\006\\003\\053\\145\\160\\003\\041\\000'; printf '%s=' "$x" | tr -- '-_' '+/' | base64 -d; } | openssl pkey -pubin -inform DER -out "$w"/key.pem; }

The name of the signer ends in the thumbprint of the key (RFC 7638). These print "Signature Verified
Successfully", and nothing for cmp.

    key_file "$(tail -n 1 tagmanifest-sha256.txt.note | cut -d' ' -f2 | sed 's|.*/||')"
    tail -n 1 tagmanifest-sha256.txt.note | cut -d' ' -f3 | base64 -d | tail -c 64 > "$w"/signature
    openssl pkeyutl -verify -pubin -inkey "$w"/key.pem -rawin -in tagmanifest-sha256.txt -sigfile "$w"/signature
    head -n -2 tagmanifest-sha256.txt.note | cmp - tagmanifest-sha256.txt

A thumbprint belongs to its key when these two print the same, for each key. Whose key it is you must
learn from somewhere else than this bag: from the firm, or from a list that you already had.

    jq -r '.keys[] | .key + " " + .person + " " + .use' data/keys.json
    jq -r '.keys[] | .public' data/keys.json | while read -r x; do printf '{"crv":"Ed25519","kty":"OKP","x":"%s"}' "$x" | openssl dgst -sha256 -binary | base64 | tr '+/' '-_' | tr -d '='; done

3. THE RECORD: NO ENTRY WAS CHANGED, ADDED, REMOVED OR MOVED

Each line of data/record.jsonl is one entry and its signature. The signature covers the bytes of the entry
in DSSE v1 form. "prev" is the SHA-256 of a zero byte and the line before. This prints one line for each
entry: its number, "chain ok", and "Signature Verified Successfully".

    prev=$(printf '%064d' 0); seq=0
    while IFS= read -r line; do
      entry=\${line#'{"entry":'}; entry=\${entry%',"sig":"'*}
      set -- $(printf '%s' "$line" | jq -r '.entry.seq, .entry.prev, .entry.key, .sig')
      [ "$1" = "$seq" ] && [ "$2" = "$prev" ] && printf '%s chain ok ' "$seq" || printf '%s CHAIN BROKEN ' "$seq"
      type=application/vnd.stillwire.entry.v1+json
      { printf 'DSSEv1 %s %s %s ' "\${#type}" "$type" "$(printf '%s' "$entry" | wc -c | tr -d ' ')"; printf '%s' "$entry"; } > "$w"/message
      printf '%s==' "$4" | tr -- '-_' '+/' | base64 -d > "$w"/signature
      key_file "$3"
      openssl pkeyutl -verify -pubin -inkey "$w"/key.pem -rawin -in "$w"/message -sigfile "$w"/signature
      prev=$({ printf '\\000'; printf '%s' "$line"; } | sha256sum | cut -d' ' -f1); seq=$((seq + 1))
    done < data/record.jsonl

The last entry that closes a job holds a manifest: how many entries came before it, the hash of the last
of them, and the photos. This prints it (nothing, if the job was not closed).

    jq -c 'select(.entry.type == "job.closed") | .entry.body.manifest' data/record.jsonl

4. THE CHECKLIST, THE PHOTOS, THE PRIVATE VALUES

These two print the same digest: the checklist is the one that the first entry names.

    head -n 1 data/record.jsonl | jq -r '.entry.body.checklist.sha256'
    sha256sum data/checklist.json | cut -d' ' -f1

Each photo is named by its own digest; this prints nothing. (A photo that was blurred for you is listed in
bag-info.txt with the digest of the original, which is the one in the record.)

    for f in data/photos/*.jpg; do [ -e "$f" ] || continue; [ "$(sha256sum "$f" | cut -d' ' -f1).jpg" = "$(basename "$f")" ] || echo "CHANGED $f"; done

Private values stand in the record only as digests ("_sd"); those handed to you are in
data/disclosures.jsonl in the form of RFC 9901. This prints each of them with "ok".

    while IFS= read -r line; do
      text=$(printf '%s' "$line" | jq -r '.disclosure'); of=$(printf '%s' "$line" | jq -r '.seq')
      digest=$(printf '%s' "$text" | openssl dgst -sha256 -binary | base64 | tr '+/' '-_' | tr -d '=')
      jq -s -e --argjson s "$of" --arg d "$digest" '.[$s].entry._sd | index($d) != null' data/record.jsonl > /dev/null && printf 'ok ' || printf 'NOT IN THE RECORD '
      printf '%s' "$text" | tr -- '-_' '+/' | sed -e 's/$/===/' | base64 -d 2> /dev/null; echo
    done < data/disclosures.jsonl

5. RECEIPTS AND TIME-STAMPS, WHERE THERE ARE ANY

data/receipts/N.tlog-proof (c2sp.org/tlog-proof) shows that line N stands in the tree of a server that had
seen it. The leaf is the hash of step 3; the path is checked as RFC 9162 section 2.1.3.2 lays down, and the
checkpoint at its end is a signed note like that of step 2, under the server's key.
data/timestamps/entry-N.tsr is an RFC 3161 token over line N with its line feed, receipt-N.tsr one over the
receipt file; "openssl ts -verify -data FILE -in TOKEN -CAfile AUTHORITY.pem" checks one.

WHAT NONE OF THIS CAN SHOW

- That a hand did what was entered. The record shows what was entered, with which key, in which order, and,
  where there are receipts, before which moment it was received.
- That the person at the device was the person of the key. A key is unlocked by its owner at the start of a
  job; it lies in the device and can be stolen with it.
- That nothing happened which nobody entered.
- That the clock of the device was right. Two clocks are kept, and where they disagree the record says so.
- That the job went no further, when there is neither a closing entry nor a receipt.
- That a machine can be touched now. A proof of dead holds for the minutes it was made for, and no longer.
`;
