// Package page is the bench page: the workshop's use cases as a small web site
// for one bench, read on a phone beside the pot or at a desk.
//
// It holds no logic of the trade. Each page reads a form, calls the same method
// of workshop.Workshop that the command of that name calls, and shows what comes
// back. Forms work without a script; page.js only saves taps: sliders that
// answer at once, a photograph dropped on the page, progress that moves.
//
// How a request runs:
//
//	guard    refuses hosts and origins that are not ours, sets the headers
//	inTurn   lets forms with files wait until there is room for them in memory
//	once     does what a form asks one time, however often it arrives
//	gate     with the page open to the local network: asks for the one-time code
//	handler  reads the form, calls the workshop, returns a view
//	render   writes the view's template to a buffer; only a whole page is sent
//
// Learning, reading photographs again and copying the store take longer than a page
// may. They are jobs: the form begins one, its page tells how far it is and can stop
// it, and what came of it stands there once it has ended.
//
// What can be relied on:
//
//   - No path, and no file name, that comes with a request is used on the disk.
//     A photograph is kept in memory until it is recorded, then by its hash.
//   - A copy of the store is made in a temporary folder, whole before it can be
//     downloaded, and gone when the server stops.
//   - A rescue that goes on after a drop travels in its page, as text that is
//     checked again when it comes back; the server keeps none.
//   - Nothing is loaded from elsewhere: templates, style and script are embedded,
//     and the Content-Security-Policy allows no other.
//   - Colours are drawn as SVG fills, since that policy forbids inline style.
//     Beside every patch stand its hex code and its word.
//
// References: Fetch Metadata and Origin checks as in net/http's
// CrossOriginProtection; Content Security Policy Level 3 (W3C); Server-sent
// events (WHATWG HTML, section 9.2); WCAG 2.2 (W3C 2023).
package page
