// Package store keeps the workshop's records: the waxes, dyes and moulds on the
// shelf, every swatch with the photograph it was read from, the log of the
// batches that were poured, and the dyed wax set aside.
//
// A store is one SQLite file, and beside it a folder of photographs:
//
//	setshade.db                          waxes, dyes, moulds, photos, swatches, batches, stocks
//	photos/setshade.db/<sha256 in hex>   each photograph, byte for byte
//
// The folder carries the store's file name, so that two stores kept side by
// side never share, and so never lose, a photograph.
//
// With a photograph is kept what its colours were corrected by and how well, and for
// each print of the test card the strip that its photographs are brought to: an
// anchor, from the first of them, or a reference that was measured.
//
// What can be relied on:
//
//   - A call that returned without error is on the disk: it outlives a killed
//     program and a power cut. A call that returned an error changed nothing.
//   - A row for a photograph is never there before its file: the file is
//     written, flushed and named under the store's write lock, then the rows
//     are committed. A crash in between leaves at most a file without a row,
//     which the next recording of that photograph takes over.
//   - A photograph whose file is gone or has changed takes nothing else with it:
//     its row and its swatches stay, Backup and Restore go on without it and
//     return it, and Check names it in the store and in every copy. PutBack files it
//     again when its bytes are found, and sets a changed file aside.
//   - Every row has a digest, kept by triggers in the transaction that writes the row.
//     Check and Backup compare all of them, LearnFrom those of drops, Learned that of the
//     model; what changed otherwise is named, and is not taken for whole by a later change.
//   - A file is only opened for writing after it has been read and found to be a
//     store of a version this program knows. Anything else is refused untouched.
//   - Names compare without case, in every script: "Écru" is "écru".
//
// Errors are sentences for the maker; their kind (ErrNotFound, ErrInUse, ...)
// is asked with errors.Is.
//
// Two outside facts carry the recognition of a store. The SQLite file format
// ("Database File Format", section 1.3, sqlite.org/fileformat2.html) keeps a
// version number for the application at byte 60 of the file (user_version) and
// a mark of the application itself at byte 68 (application_id).
package store
