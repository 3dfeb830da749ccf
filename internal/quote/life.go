package quote

import (
	"slices"
	"strings"

	"wattle/internal/fault"
)

// State is where a quote stands in its life. Its content never changes.
type State string

const (
	// Draft: made, not yet offered.
	Draft State = "draft"
	// Issued: offered to the customer, who may accept it until it expires.
	Issued State = "issued"
	// Accepted: agreed. It stays so; what changes later is a change order.
	Accepted State = "accepted"
	// Declined by the customer, who may have chosen another option.
	Declined State = "declined"
	// Expired: its last day of validity passed without an answer.
	Expired State = "expired"
	// Void: withdrawn by the company, or replaced by its revision.
	Void State = "void"
)

// Action is what is done to a quote.
type Action string

const (
	Create  Action = "create"
	Issue   Action = "issue"
	Accept  Action = "accept"
	Decline Action = "decline"
	Expire  Action = "expire"
	Cancel  Action = "void"
	// Revise makes the next revision of a quote, which voids this one.
	Revise Action = "revise"
	// ChooseOther accepts another option, which closes this one.
	ChooseOther Action = "choose-other"
)

// Transition is one way from a state to another; From is empty where the quote
// is made.
type Transition struct {
	Action   Action
	From, To State
}

// life is the whole of a quote's life: what is not in it is not allowed. The
// schema has the same table (quote_transition_life_check), and so has
// DEVELOPERS.md.
var life = []Transition{
	{Create, "", Draft},
	{Issue, Draft, Issued},
	{Accept, Issued, Accepted},
	{Decline, Issued, Declined},
	{Expire, Issued, Expired},
	{Cancel, Draft, Void},
	{Cancel, Issued, Void},
	{Revise, Draft, Void},
	{Revise, Issued, Void},
	{ChooseOther, Draft, Void},
	{ChooseOther, Issued, Declined},
}

// Life lists every transition there is.
func Life() []Transition { return slices.Clone(life) }

// States lists every state, in the order of a life.
func States() []State { return []State{Draft, Issued, Accepted, Declined, Expired, Void} }

// After is the state that an action leads to; it is Refused (QUOTE_STATE) where
// it cannot be done in this one.
func (s State) After(a Action) (State, error) {
	var from []string
	for _, t := range life {
		if t.Action != a {
			continue
		}
		if t.From == s {
			return t.To, nil
		}
		from = append(from, string(t.From))
	}
	return "", fault.New(fault.Refused, "QUOTE_STATE", "the quote is %s; expected one that is %s", s, strings.Join(from, " or ")).
		With("state", string(s))
}

// Open reports whether the quote still waits for an answer.
func (s State) Open() bool { return s == Draft || s == Issued }

// Party is who decided on a quote: a role, not a person.
type Party string

const (
	// Customer: the customer himself.
	Customer Party = "customer"
	// Agent: somebody who acts for the customer, such as a property manager.
	Agent Party = "agent"
)
