package wax

import "time"

// Stock is dyed wax set aside, with its own recipe, so that it is used and not
// wasted.
type Stock struct {
	// Number is the store's, as written on its label; 0 before it is stored.
	Number int64  `json:"number"`
	Wax    string `json:"wax"`
	// Batch is what it is made of, with the mass that is left of it.
	Batch `json:"batch"`
	// Note is the maker's own, such as where it stands.
	Note       string    `json:"note"`
	SetAsideAt time.Time `json:"set_aside_at"`
}
