// Package page writes pages that a person reads on a phone, on a screen and on
// paper: one file each, that needs nothing else.
//
// A [Page] is a title and a list of blocks in reading order: headings, texts,
// facts, tables, lists, notices and pictures. A block says what it holds, never
// how it looks. The same page is written as HTML ([Page.HTML]) and as Markdown
// ([Page.Markdown]), so that the two never tell different things; whoever has
// another form for it walks the blocks.
//
// # The rules
//
//   - A page asks nothing of a network and runs no script. Its style stands in
//     it, and a policy in its head (Content-Security-Policy) has the browser
//     refuse anything else.
//   - What a person named is text. html/template escapes it; what would command
//     the reader's screen becomes a mark (U+FFFD); [Name] keeps text that runs
//     from right to left from turning the words around it.
//   - Headings do not skip a level, every table has a caption and a head, every
//     picture has words for those who cannot see it. A page without them is an
//     error, not a page.
//   - Nothing is wider than a phone (360 CSS pixels): wide tables become one
//     card a row there, and a wide picture moves within its own frame.
//   - On paper, A4 or Letter, no row of a table, no picture and no notice is cut;
//     a short table is not cut at all, a long one repeats its head.
//   - Colours have a contrast of 4.5 : 1 or more, by day and in the dark (WCAG
//     2.2, 1.4.3), and never carry a meaning alone.
//
// Labels and sheets, which have a layout of their own, hand over their own HTML
// and style ([Raw], [Page.Style]) and keep the frame.
package page
