#pragma once
// What a watcher from elsewhere must know.

#include <string>
#include <string_view>

namespace sagbench::live {

/// 128 bits from the system, as 26 characters of base32 (RFC 4648) in lower case. Throws
/// std::system_error where the system gives none.
std::string make_token();
/// RFC 4648, lower case, without padding.
std::string base32(std::string_view bytes);
/// In a time that does not depend on where they differ. Nothing is the same as no token.
bool same_token(std::string_view given, std::string_view token);

}  // namespace sagbench::live
