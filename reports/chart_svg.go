package reports

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Size and margins of a chart on paper, in pixels.
const (
	svgWidth, svgHeight      = 860, 480
	svgLeft, svgRight        = 70, 90
	svgTop, svgBottom        = 82, 92
	svgFont                  = 13
	svgMarkRow, svgMarkRows  = 15, 3
	svgCharacter             = 0.56 // width of a character in font sizes, on average
	svgGrey, svgBand, svgInk = "#666", "#ddd", "#000"
)

// svgCanvas places drawing in pixels.
type svgCanvas struct {
	strings.Builder
	frame
}

// SVG writes the chart as one SVG 1.1 document in black and grey, without
// scripts, styles from elsewhere or fonts of its own.
func (c *Chart) SVG(w io.Writer) error {
	s := &svgCanvas{frame: c.frame()}
	fmt.Fprintf(s, `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="%d" height="%d" viewBox="0 0 %d %d" role="img" font-family="Helvetica, Arial, sans-serif" font-size="%d">`+"\n",
		svgWidth, svgHeight, svgWidth, svgHeight, svgFont)
	fmt.Fprintf(s, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n", xmlText(c.Title))
	s.text(svgLeft, 20, "start", "bold", fit(c.Title, svgWidth-svgLeft-10, 15), 15)
	s.band(c.Band)
	s.axes(c)
	for _, r := range c.Rules {
		y := s.py(r.Y)
		s.line(svgLeft, y, svgWidth-svgRight, y, `stroke-width="1.4" stroke-dasharray="9 4"`)
		s.text(svgWidth-svgRight+6, y+4, "start", "normal", fit(r.Name, svgRight-8, svgFont-1), svgFont-1)
	}
	s.marks(c.Marks)
	for _, l := range c.Lines {
		s.path(l)
	}
	for _, p := range c.Points {
		s.point(p)
	}
	s.legend(c)
	s.WriteString("</svg>\n")
	_, err := io.WriteString(w, s.String())
	return err
}

func (s *svgCanvas) pxf(x float64) float64 { return svgLeft + x*(svgWidth-svgLeft-svgRight) }
func (s *svgCanvas) py(v float64) float64 {
	return svgHeight - svgBottom - s.y(v)*(svgHeight-svgTop-svgBottom)
}

func (s *svgCanvas) line(x1, y1, x2, y2 float64, style string) {
	fmt.Fprintf(s, `<line x1="%s" y1="%s" x2="%s" y2="%s" stroke="%s" %s/>`+"\n", px(x1), px(y1), px(x2), px(y2), svgInk, style)
}

func (s *svgCanvas) text(x, y float64, anchor, weight, text string, size int) {
	fmt.Fprintf(s, `<text x="%s" y="%s" text-anchor="%s" font-weight="%s" font-size="%d">%s</text>`+"\n", px(x), px(y), anchor, weight, size, xmlText(text))
}

func (s *svgCanvas) band(list []ChartBand) {
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && !list[to].Break {
			to++
		}
		var there, back []string
		for _, b := range list[from:to] {
			x := px(s.pxf(s.x(b.Time)))
			there = append(there, x+","+px(s.py(b.High)))
			back = append([]string{x + "," + px(s.py(b.Low))}, back...)
		}
		fmt.Fprintf(s, `<polygon points="%s" fill="%s" stroke="none"/>`+"\n", strings.Join(append(there, back...), " "), svgBand)
		from = to
	}
}

func (s *svgCanvas) axes(c *Chart) {
	bottom := float64(svgHeight - svgBottom)
	for _, t := range s.ticks {
		y := s.py(t)
		s.line(svgLeft-5, y, svgLeft, y, `stroke-width="1"`)
		s.text(svgLeft-9, y+4, "end", "normal", strconv.FormatFloat(t*c.scale()+0, 'f', s.decimals, 64), svgFont-1)
	}
	for _, t := range timeTicks(s.from, s.to, 10) {
		x := s.pxf(s.x(t.at))
		s.line(x, bottom, x, bottom+5, `stroke-width="1"`)
		s.text(x, bottom+19, "middle", "normal", t.text, svgFont-1)
	}
	fmt.Fprintf(s, `<rect x="%d" y="%d" width="%d" height="%d" fill="none" stroke="%s" stroke-width="1"/>`+"\n",
		svgLeft, svgTop, svgWidth-svgLeft-svgRight, svgHeight-svgTop-svgBottom, svgInk)
	if s.low < 0 && s.high > 0 {
		s.line(svgLeft, s.py(0), svgWidth-svgRight, s.py(0), `stroke-width="0.6"`)
	}
	fmt.Fprintf(s, `<text transform="translate(18 %d) rotate(-90)" text-anchor="middle">%s</text>`+"\n",
		svgTop+(svgHeight-svgTop-svgBottom)/2, xmlText(fit(c.YName, svgHeight-svgTop-svgBottom+60, svgFont)))
}

// marks draws upright lines with their names above the chart, on as many rows
// as it takes for no two to touch; what finds no room is left out, not drawn
// over another.
func (s *svgCanvas) marks(list []ChartMark) {
	var taken [svgMarkRows]float64
	for _, m := range list {
		x := s.pxf(s.x(m.Time))
		style := `stroke-width="1" stroke-dasharray="2 3"`
		if m.Strong {
			style = `stroke-width="1.6" stroke-dasharray="10 3 2 3"`
		}
		width := svgCharacter*float64(svgFont-1)*float64(len([]rune(m.Name))) + 8
		left := min(max(x-width/2, 4), svgWidth-width-4)
		top := float64(svgTop)
		for row := range taken {
			if left < taken[row] {
				continue
			}
			taken[row] = left + width
			y := float64(svgTop - 6 - row*svgMarkRow)
			s.text(left+width/2, y, "middle", "normal", m.Name, svgFont-1)
			top = y + 3
			break
		}
		s.line(x, top, x, svgHeight-svgBottom, style)
	}
}

func (s *svgCanvas) path(l ChartLine) {
	var points []string
	for _, p := range l.Points {
		points = append(points, px(s.pxf(s.x(p.Time)))+","+px(s.py(p.Y)))
	}
	style := `stroke-width="2"`
	if l.Ahead {
		style = `stroke-width="1.6" stroke-dasharray="5 4"`
	}
	fmt.Fprintf(s, `<polyline points="%s" fill="none" stroke="%s" stroke-linejoin="round" %s/>`+"\n", strings.Join(points, " "), svgInk, style)
}

func (s *svgCanvas) point(p ChartPoint) {
	x, y := s.pxf(s.x(p.Time)), s.py(p.Y)
	if p.Bar > 0 && !s.clipped(p.Y) {
		low, high := s.py(p.Y-p.Bar), s.py(p.Y+p.Bar)
		s.line(x, low, x, high, `stroke-width="1"`)
		for _, end := range []float64{low, high} {
			s.line(x-3, end, x+3, end, `stroke-width="1"`)
		}
	}
	fill := svgInk
	if p.Odd {
		fill = "#fff"
	}
	fmt.Fprintf(s, `<circle cx="%s" cy="%s" r="3.6" fill="%s" stroke="%s" stroke-width="1.3"/>`+"\n", px(x), px(y), fill, svgInk)
	if s.clipped(p.Y) {
		up := 9.0
		if p.Y < s.low {
			up = -9
		}
		fmt.Fprintf(s, `<path d="M %s %s l 0 %s m -4 %s l 4 %s l 4 %s" fill="none" stroke="%s"/>`+"\n",
			px(x), px(y+1.6*up), px(-up), px(up/2), px(-up/2), px(up/2), svgInk)
	}
}

// legend explains the forms in one or two rows below the chart.
func (s *svgCanvas) legend(c *Chart) {
	x, y := float64(svgLeft), float64(svgHeight-44)
	entry := func(name string, draw func(x, y float64)) {
		if name == "" {
			return
		}
		width := 34 + svgCharacter*float64(svgFont-1)*float64(len([]rune(name)))
		if x+width > svgWidth-10 {
			x, y = svgLeft, y+20
		}
		draw(x, y-4)
		s.text(x+28, y, "start", "normal", name, svgFont-1)
		x += width + 12
	}
	dot := func(odd bool) func(x, y float64) {
		return func(x, y float64) {
			fill := svgInk
			if odd {
				fill = "#fff"
			}
			fmt.Fprintf(s, `<circle cx="%s" cy="%s" r="3.6" fill="%s" stroke="%s" stroke-width="1.3"/>`+"\n", px(x+11), px(y), fill, svgInk)
		}
	}
	stroke := func(style string) func(x, y float64) {
		return func(x, y float64) { s.line(x, y, x+22, y, style) }
	}
	entry(c.PointName, dot(false))
	entry(c.OddName, dot(true))
	entry(c.LineName, stroke(`stroke-width="2"`))
	entry(c.AheadName, stroke(`stroke-width="1.6" stroke-dasharray="5 4"`))
	entry(c.BandName, func(x, y float64) {
		fmt.Fprintf(s, `<rect x="%s" y="%s" width="22" height="10" fill="%s" stroke="%s" stroke-width="0.5"/>`+"\n", px(x), px(y-5), svgBand, svgGrey)
	})
	entry(c.BarName, func(x, y float64) { s.line(x+11, y-6, x+11, y+6, `stroke-width="1"`) })
	entry(c.RuleName, stroke(`stroke-width="1.4" stroke-dasharray="9 4"`))
}

// fit cuts a text that would be wider than so many pixels.
func fit(text string, width, size int) string {
	most := int(float64(width) / (svgCharacter * float64(size)))
	if runes := []rune(text); len(runes) > most {
		return string(runes[:max(most-1, 1)]) + "…"
	}
	return text
}

// px writes a coordinate to a tenth of a pixel.
func px(x float64) string {
	text := strconv.FormatFloat(x, 'f', 1, 64)
	return strings.TrimSuffix(strings.TrimPrefix(text, "-0.0"), ".0")
}

var xmlEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// xmlText is a text as XML can hold it: control characters have no place there.
func xmlText(text string) string {
	return xmlEscapes.Replace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "?")))
}
