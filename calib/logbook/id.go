package logbook

import (
	"crypto/rand"
	"encoding/base32"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
)

// crockford is an alphabet without letters that are mistaken for digits.
var crockford = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

// newID makes the identity of a row that nobody named: the day it was saved,
// so that a person can find it, and 60 random bits, so that two phones never
// make the same one: among a million rows of one day the chance of a pair is
// one in two million.
func newID(now time.Time) string {
	var random [8]byte
	rand.Read(random[:]) // never fails (crypto/rand)
	return now.UTC().Format(time.DateOnly) + "-" + crockford.EncodeToString(random[:])[:12]
}

// VersionID is the identity that [Book.Save] gives to a version of a meter or a
// bottle: the name for the first, and that of the version it supersedes counted
// on for each later one.
func VersionID(name, supersedes string) string {
	if supersedes == "" {
		return name
	}
	return nextVersion(supersedes)
}

// nextVersion is the identity of the version after the one with this identity:
// "P1" is followed by "P1/2", and that by "P1/3".
func nextVersion(id string) string {
	name, _, _ := strings.Cut(id, "/")
	return fmt.Sprintf("%s/%d", name, versionNumber(id)+1)
}

// versionNumber is 1 for the first version.
func versionNumber(id string) int {
	_, number, _ := strings.Cut(id, "/")
	n, err := strconv.Atoi(number)
	if err != nil {
		return 1
	}
	return max(n, 1)
}

// inspectVersion checks the identity of a version of something named: its name
// for the first, and what nextVersion makes of the row it supersedes.
func inspectVersion(in *inspector, h *Head, field, name string) {
	in.name(field, name, false)
	want := name
	if h.Supersedes != "" {
		want = nextVersion(h.Supersedes)
	}
	root, _, _ := strings.Cut(h.ID, "/")
	if !strings.EqualFold(h.ID, want) || !strings.EqualFold(root, name) {
		in.fault("id", quantity.Quoted(h.ID), quantity.Quoted(want)+" as the identity of this version of "+shown(name))
	}
}
