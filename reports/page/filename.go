package page

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
)

// mostOfName is how many characters of a name stand in a file's name.
const mostOfName = 40

// FileName makes the name of a file for what a person named: prefix, the
// name's letters and digits of ASCII, ending (".html"). A name that does not
// stand there as it is gets a part of its hash (SHA-256) after it, so that names
// that differ in more than upper and lower case make files of their own. With a
// prefix, no name is one that a system keeps for itself.
func FileName(prefix, name, ending string) string {
	var b strings.Builder
	for _, r := range name {
		switch plain := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'; {
		case plain || r == '_':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	safe := b.String()
	if len(safe) > mostOfName {
		safe = safe[:mostOfName]
	}
	safe = strings.Trim(safe, "-")
	if safe != name || safe == "" {
		sum := sha256.Sum256([]byte(name))
		safe = strings.TrimPrefix(safe+"-"+hex.EncodeToString(sum[:4]), "-")
	}
	return prefix + safe + ending
}
