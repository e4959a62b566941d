package plan

import (
	"time"

	"github.com/shopspring/decimal"
)

// Phase is a stretch of the job that time is kept for.
type Phase string

// The phases in the order of work.
const (
	PhaseCollect  Phase = "collect"
	PhasePrepare  Phase = "prepare"
	PhaseMill     Phase = "mill"
	PhaseJoinery  Phase = "joinery"
	PhaseGlueUp   Phase = "glue-up"
	PhaseAssemble Phase = "assemble"
	PhaseSand     Phase = "sand"
	PhaseFinish   Phase = "finish"
	PhaseDeliver  Phase = "deliver"
)

// Phases lists the phases in the order of work.
var Phases = []Phase{PhaseCollect, PhasePrepare, PhaseMill, PhaseJoinery, PhaseGlueUp, PhaseAssemble, PhaseSand, PhaseFinish, PhaseDeliver}

// Entry is time that was worked, by the timer or by hand. Rate and Quantity
// let the shop's rates be learned from it; an entry without a rate counts in
// the totals only.
type Entry struct {
	ID       ID             `json:"id"`
	Piece    ID             `json:"piece"` // zero = for the shop, not for a piece
	Phase    Phase          `json:"phase"`
	Step     string         `json:"step,omitempty"` // Step.Key
	Start    time.Time      `json:"start"`
	Seconds  int64          `json:"seconds"`
	Rate     string         `json:"rate,omitempty"`
	Quantity float64        `json:"quantity,omitempty"`
	Target   float64        `json:"target,omitempty"` // minutes planned when it was worked
	ByHand   bool           `json:"by_hand,omitempty"`
	Earlier  []EntryEarlier `json:"earlier,omitempty"` // values before corrections, oldest first
	Kept     bool           `json:"kept,omitempty"`    // the maker stands by its time, however long: rates are learned from it
	Note     string         `json:"note,omitempty"`
}

// EntryEarlier is a value an entry had before it was corrected.
type EntryEarlier struct {
	Start   time.Time `json:"start"`
	Seconds int64     `json:"seconds"`
	At      time.Time `json:"at"` // when it was corrected
}

// Expense is money spent; Share is the part of it used by the piece (a bottle
// of glue used to a third).
type Expense struct {
	ID     ID              `json:"id"`
	Piece  ID              `json:"piece"`
	Date   string          `json:"date"` // YYYY-MM-DD
	Kind   string          `json:"kind"` // wood, glue, finish, sandpaper, hardware, tool, travel, other
	What   string          `json:"what"`
	Amount decimal.Decimal `json:"amount"`
	Share  decimal.Decimal `json:"share"` // 0 to 1
	Order  int             `json:"order"`
}

// ExpenseKinds lists the kinds in the order shown.
var ExpenseKinds = []string{"wood", "glue", "finish", "sandpaper", "hardware", "tool", "travel", "other"}

// Timer is the one running clock of the shop. Stored at every start and pause,
// so a crash loses nothing.
type Timer struct {
	Piece   ID        `json:"piece"`
	Step    string    `json:"step,omitempty"`
	Running bool      `json:"running"`
	Since   time.Time `json:"since"`   // start of the running stretch
	Seconds int64     `json:"seconds"` // from earlier stretches of the same step
}
