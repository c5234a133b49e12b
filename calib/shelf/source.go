package shelf

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/solutions"
)

// Source is the publication that [True] of a bottle rests on. It is an error for
// a salt or a buffer that is not known here.
func Source(b logbook.Bottle) (string, error) {
	if b.Buffer != "" {
		buffer, err := solutions.BufferByName(b.Buffer)
		if err != nil {
			return "", fmt.Errorf("bottle %s: %w", b.Name, err)
		}
		return buffer.Source, nil
	}
	s, err := solution(b)
	if err != nil {
		return "", fmt.Errorf("bottle %s: %w", b.Name, err)
	}
	return s.Source(), nil
}
