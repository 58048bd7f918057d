#pragma once
// What a procedure may touch: ask for a current, take a sample, wait. Every sample passes the
// supervisor before the procedure sees it, and only here is the load's input switched on.

#include <boost/asio/awaitable.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "analysis/recording.hpp"
#include "bench/radio/played_list.hpp"
#include "bench/run/journal.hpp"
#include "bench/safety/limits.hpp"
#include "bench/safety/stop.hpp"
#include "bench/safety/supervisor.hpp"
#include "bench/text/usual_time.hpp"
#include "drivers/electronic_load.hpp"
#include "drivers/meter.hpp"

namespace sagbench::bench {

/// Which channels a sample reads. Pack voltage and current always; the others when they are older
/// than a second
/// (`full`) or only when their watch time would soon run out (`quick`, for the moments after an
/// edge).
enum class Scan { quick, full };

/// What a sample of a radio's pattern says of the loop that it closes.
struct Tick {
  std::optional<double> voltage_age_s;  // as in analysis::Sample
  int missed = 0;                       // ticks, since the sample before
  /// When the current must change next: what may be read later (see Scan) is not begun where it
  /// would last longer, and where there is room for it, it is read in a quick scan too.
  std::optional<double> next_edge_s{};
};

/// All members throw Stop when the run must end; the controller then calls make_safe(). One
/// coroutine uses a rig at a time.
class Rig {
 public:
  /// The load and the meter (null: none) must be open. They, the clock and the limits outlive the
  /// rig.
  Rig(drivers::Clock& clock, drivers::ElectronicLoad& load, drivers::Meter* meter,
      const Limits& limits);

  /// From now on samples and events go there. Before, only look() works.
  void attach(Journal& journal) noexcept { journal_ = &journal; }
  /// Told once of each danger that does not end the run; it is in the journal by then.
  void on_warning(std::function<void(const std::string&)> told) { on_warning_ = std::move(told); }

  /// Goes on with a run that another program began: time and charge count on from there. What was
  /// read so far is forgotten. Precondition: the input is off.
  void take_up(double now_s, double charge_removed_ah, double brought_v);

  /// Reads every channel with the input off; for checks before a run. Nothing is recorded.
  boost::asio::awaitable<analysis::Sample> look();

  /// A step begins: no step runs longer than `longest_s`.
  void begin_step(int index, double longest_s);
  /// Takes, judges and records one sample.
  boost::asio::awaitable<analysis::Sample> sample(analysis::Phase phase, Scan scan = Scan::full,
                                                  Tick tick = {});
  /// For the record: what the radio of this step asks for from then on.
  void ask(double time_s, double current_a);
  /// Draws `current_a` (0 to limits.current_a); switches the input on if the supervisor agrees
  /// after a fresh round of readings.
  boost::asio::awaitable<void> draw(double current_a);
  /// What the load can play by its own clock; null where it cannot. It and the next two are for
  /// patterns too quick for the line.
  const drivers::CurrentList* list() const noexcept { return load_.list(); }
  /// Has the load ready to play `points` (each 0 to limits.current_a) while it goes on drawing what
  /// draw() said. Preconditions: list(), the input is on.
  boost::asio::awaitable<void> load_list(std::vector<drivers::ListPoint> points);
  /// Starts what load_list() made ready. After the last point the load draws again what draw() said
  /// last. draw() with another current, release() and a stop end it early.
  boost::asio::awaitable<void> start_list();
  /// When the list started last ends.
  double list_ends_s() const { return played_ ? played_->end_s() + start_doubt_s_ : now_s(); }
  /// Switches the input off and reads it back.
  boost::asio::awaitable<void> release();
  /// Sleeps until then; a stop request ends it.
  boost::asio::awaitable<void> wait_until(double time_s);
  /// Suspends until all that was sampled is safe in the archive: before a decision that uses it.
  boost::asio::awaitable<void> settle();

  /// Ends the run at once: a sleep, and an exchange under way while the input is on, are cut short.
  /// Callable at any time from the event loop.
  void request_stop(reports::RunEnd end, const std::string& reason);
  /// Switches off and makes sure: sends OFF, reads back input and current, reopens a lost or silent
  /// line, and keeps trying until it is confirmed or `give_up()` says to. `alarm` is called with a
  /// sentence after each failed round. True when confirmed. Throws nothing.
  boost::asio::awaitable<bool> make_safe(std::function<bool()> give_up,
                                         std::function<void(const std::string&)> alarm);

  /// How long a change of current with the load's consent, and reading what flows and the pack's
  /// voltage, have taken of late; 0 while that is not known.
  double draw_takes_s() const noexcept { return draw_takes_.most_s(); }
  double sample_takes_s() const noexcept { return sample_takes_.most_s(); }

  double now_s() const noexcept { return drivers::to_seconds(clock_.now() - start_); }
  bool input_on() const noexcept { return known_.input_on; }
  /// The latest readings, safe in the archive or not.
  const Snapshot& known() const noexcept { return known_; }
  double commanded_since_s() const noexcept { return known_.commanded_since_s; }
  /// Ah removed since the pack was last full, by the measured current.
  double charge_removed_ah() const noexcept { return known_.charge_removed_ah; }
  /// Pack voltage of the run's first sample: of the pack as it was brought, at rest. Absent before.
  std::optional<double> brought_v() const noexcept { return brought_v_; }
  void pack_was_recharged();
  const Limits& limits() const noexcept { return limits_; }
  Journal& journal() noexcept { return *journal_; }

 private:
  void check_stop() const;
  void check_journal() const;
  void check_watch();
  void count_charge(const analysis::Sample& sample);
  /// Judges what is known now; `complete` is the sample so far once it has current and voltage,
  /// else null.
  void heed(const analysis::Sample* complete);
  void warn(const std::string& warning);
  double calendar_ahead_s() const;
  void follow_list();
  boost::asio::awaitable<void> leave_list();
  void note_current(const drivers::Reading& current, analysis::Sample& sample);
  void note_load_voltage(const drivers::Reading& voltage, analysis::Sample& sample);
  boost::asio::awaitable<void> until_settled();
  double charge_between(const analysis::Sample& from, const analysis::Sample& to) const;
  bool due(const std::optional<Stamped>& reading, Scan scan, double takes_s) const;
  bool cells_due(Scan scan) const;
  bool room_for(double takes_s) const;
  bool guards_due() const;
  /// Until when an exchange may last that begins now: the input is never on beyond it unwatched.
  drivers::Time watch_ends() const;
  void hurry_exchanges();
  /// `measure()` awaits a drivers::Result<Value>.
  template <class Value, class Device, class Measure>
  boost::asio::awaitable<Value> read(const char* what, Device& device, Measure measure);
  template <class Device>
  boost::asio::awaitable<void> find_again(Device& device, std::string why_lost,
                                          drivers::Time give_up);
  boost::asio::awaitable<void> explain_missing_current(const analysis::Sample& sample);
  boost::asio::awaitable<void> check_guards();
  boost::asio::awaitable<void> read_pack(analysis::Sample& sample, Scan scan);
  boost::asio::awaitable<drivers::Reading> read_meter(analysis::Sample& sample, Scan scan);
  boost::asio::awaitable<void> read_others(analysis::Sample& sample, Scan scan);
  boost::asio::awaitable<void> read_cells(analysis::Sample& sample, int repeated_before);
  boost::asio::awaitable<analysis::Sample> measure(analysis::Phase phase, Scan scan);
  boost::asio::awaitable<drivers::Exchange> energise();
  boost::asio::awaitable<drivers::Result<std::string>> try_to_switch_off();
  boost::asio::awaitable<drivers::Result<std::string>> switch_off_and_read_back();
  boost::asio::awaitable<drivers::Result<drivers::Reading>> current_now();
  template <class Value>
  Value expect(drivers::Result<Value> result) const;
  void expect_done(const drivers::Result<void>& result) const;
  Stamped stamped(const drivers::Reading& reading) const noexcept;
  double at_s(drivers::Time time) const noexcept { return drivers::to_seconds(time - start_); }

  drivers::Clock& clock_;
  drivers::ElectronicLoad& load_;
  drivers::Meter* meter_;
  const Limits& limits_;
  Journal* journal_ = nullptr;
  std::unique_ptr<drivers::Alarm> sleep_;
  std::optional<Stop> stop_;
  bool making_safe_ = false;  // it is OFF that is under way
  drivers::Time start_;
  Snapshot known_;
  Memory memory_;
  std::function<void(const std::string&)> on_warning_;
  double step_start_s_ = 0.0;
  int step_ = 0;
  std::optional<analysis::Sample> previous_;
  int readings_repeated_ = 0;
  std::optional<double> guards_due_s_;
  std::optional<double> brought_v_;
  std::vector<drivers::ListPoint> loaded_;  // not empty: the load is in list mode
  std::optional<PlayedList> played_;
  double start_doubt_s_ = 0.0;  // of its start, to either side
  UsualTime draw_takes_, sample_takes_;
  UsualTime load_takes_, meter_takes_;  // one reading
  std::optional<double> next_edge_s_;   // while a sample is taken
};

}  // namespace sagbench::bench
