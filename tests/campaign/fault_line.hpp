#pragma once
// A line to a virtual instrument on which things go wrong.

#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "drivers/transport.hpp"
#include "fault.hpp"

namespace sagbench::campaign {

/// What the world keeps of one line, whoever's program has it open.
struct LineState {
  Line line = Line::load;
  int messages = 0;
  std::vector<Fault> active;           // the line faults that are going on
  drivers::Transport* open = nullptr;  // as the program has it now
  // Told of everything; both may end the program (see Stage).
  std::function<void(LineState&, const std::string& message)> sending;
  std::function<void(LineState&, const std::string& message, bool reached)> sent;
  std::function<void(LineState&, const std::string& asked, const std::string& answer,
                     const std::string& delivered, drivers::Time asked_at)>
      delivering;
  /// Whether the `operation`-th open, write or read of all lines fails, and how.
  std::function<std::optional<drivers::ErrorKind>()> fails;

  const Fault* find(FaultKind kind) const;
  /// A fault without a length has done its work.
  void spend();
};

class FaultLine final : public drivers::Transport {
 public:
  /// The state and the clock outlive it.
  FaultLine(std::unique_ptr<drivers::Transport> inner, drivers::Clock& clock, LineState& state);
  ~FaultLine() override;

  boost::asio::awaitable<drivers::Result<void>> open(drivers::Time deadline) override;
  boost::asio::awaitable<drivers::Result<void>> write(std::string_view bytes,
                                                      drivers::Time deadline) override;
  boost::asio::awaitable<drivers::Result<void>> read(std::string& into,
                                                     drivers::Time deadline) override;
  void take_arrived(std::string& into) override;
  void interrupt() noexcept override;
  void close() noexcept override;
  const std::string& name() const noexcept override { return inner_->name(); }

 private:
  struct Question {
    std::string text;
    drivers::Time asked_at{0};
  };
  struct Coming {
    Question question;
    std::string genuine;
    std::string bytes;
    drivers::Time ready{0};
  };

  drivers::Error gone() const;
  void receive(std::string answer);
  void spoil(Coming& coming);
  bool deliver(std::string& into);
  void push(Question question, std::string genuine, std::string bytes, drivers::Time ready);

  std::unique_ptr<drivers::Transport> inner_;
  drivers::Clock& clock_;
  LineState& state_;
  std::deque<Question> questions_;
  std::deque<Coming> coming_;
  std::string last_answer_;
  std::unique_ptr<drivers::Alarm> silence_;  // of a read that is told to fail
  bool interrupted_ = false;                 // the read under way is
};

}  // namespace sagbench::campaign
