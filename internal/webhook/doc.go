// Package webhook tells events to addresses that subscribed to them: as
// CloudEvents 1.0 in JSON structured mode, signed by the convention of Standard
// Webhooks, with a guard on where messages may go. An event arrives at least
// once, in any order; its id is the same each time, and the sequence in it puts
// the events of one subject in order.
package webhook
