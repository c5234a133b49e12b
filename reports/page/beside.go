package page

// Beside is a picture with blocks that belong to it. On paper they stand side by
// side; on a phone, in Markdown and on a screen of text the picture follows.
type Beside struct {
	Blocks  []Block // no headings
	Picture Picture
}

func (Beside) check() error { return nil }

// Flat gives blocks in reading order, with those of a [Beside] each for itself.
func Flat(blocks []Block) []Block {
	out := make([]Block, 0, len(blocks))
	for _, b := range blocks {
		if side, ok := b.(Beside); ok {
			out = append(append(out, Flat(side.Blocks)...), side.Picture)
			continue
		}
		out = append(out, b)
	}
	return out
}
