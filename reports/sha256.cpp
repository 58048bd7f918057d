#include "reports/sha256.hpp"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <stdexcept>

namespace sagbench::reports {
namespace {

void require(int code) {
  if (code != 1) throw std::runtime_error("libcrypto gives no SHA-256");
}

}  // namespace

void Sha256::Free::operator()(evp_md_ctx_st* context) const noexcept {
  EVP_MD_CTX_free(context);
}

Sha256::Sha256() : context_(EVP_MD_CTX_new()) {
  require(context_ ? EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) : 0);
}

void Sha256::add(std::string_view bytes) {
  require(EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()));
}

Sha256::Digest Sha256::finish() {
  Digest digest;
  require(EVP_DigestFinal_ex(context_.get(), digest.data(), nullptr));
  require(EVP_DigestInit_ex(context_.get(), nullptr, nullptr));  // the same kind again
  return digest;
}

std::string hex(const Sha256::Digest& digest) {
  std::string digits;
  for (const std::uint8_t byte : digest) digits += fmt::format("{:02x}", byte);
  return digits;
}

std::string hash_of(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  return hex(hash.finish());
}

}  // namespace sagbench::reports
